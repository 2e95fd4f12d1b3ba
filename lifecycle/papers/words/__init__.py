"""What a paper says, as frozen data: made once when it is printed, drawn from ever after."""
