"""Pages of moves: make one, strike one, waive a gate, place and settle a hold."""
