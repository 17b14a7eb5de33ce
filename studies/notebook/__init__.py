"""Results that show themselves in a notebook: tables, a picture, the page itself."""
