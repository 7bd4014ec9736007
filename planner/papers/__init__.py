"""Papers: what is printed of a batch, as a tree of plain data, and the tree as a web page and as typeset pages."""
