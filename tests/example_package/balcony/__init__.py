"""What a studio that shoots from balconies asks of its plans."""
