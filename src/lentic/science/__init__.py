"""Published relations as pure functions of arrays; it knows no tank, file, clock or chance."""
