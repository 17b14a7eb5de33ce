"""Two coupons with drawing, mass, press and record: the practice run from table to comparison."""
