"""Pages of formulas: statement, symbols, source, validity, check."""
