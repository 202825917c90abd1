"""The firm's own tests run where its package is installed (``.ci/run``), and not among these."""

collect_ignore = ["hollin"]
