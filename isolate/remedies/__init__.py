"""One catalogue of changes: what each sets, weighs, takes, costs and needs; and the order of doing them."""
