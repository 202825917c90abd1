"""The contract with plugins: hooks, stages, findings, lines, tables, the test kit."""
