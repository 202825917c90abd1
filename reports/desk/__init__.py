"""The desk: a survey made in the browser. The survey's file is the truth; nothing leaves the machine."""
