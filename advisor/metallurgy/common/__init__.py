"""What all computations share: figures with their source, typed rows of tables, inputs, documents."""
