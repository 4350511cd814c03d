"""Do the tests notice? Small faults are planted one at a time in a copy of the tree; the tests run there."""
