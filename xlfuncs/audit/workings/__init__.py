"""How findings were computed: one function for each kind of computation, for the rules that decide by it."""
