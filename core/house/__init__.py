"""House rules: a firm's own rules without code, and others' words rendered safely."""
