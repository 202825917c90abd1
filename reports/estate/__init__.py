"""Many surveys at once: each house of a terrace examined, the timber pooled, like rooms held against each other."""
