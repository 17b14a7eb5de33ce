"""A study that is answered anew whenever its file is saved, on a page of this machine alone."""
