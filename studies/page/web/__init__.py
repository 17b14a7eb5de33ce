"""Style and scripts of the pages, written into them."""
