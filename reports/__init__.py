"""Statement templates, drawings, style sheet and renderers: they show, they compute nothing."""
