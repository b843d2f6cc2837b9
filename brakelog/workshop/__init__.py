"""What people do, one function each: takes a store and what was typed, gives a result."""
