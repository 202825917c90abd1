"""The host: plugins loaded, admitted, put in order, run and held to their limits."""
