"""Pages of the papers: what to print, what is out, what came back, where a QR code lands."""
