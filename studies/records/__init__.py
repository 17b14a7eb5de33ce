"""What results.json holds: plain records, and what is read off them."""
