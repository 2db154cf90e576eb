"""Reading the fit: girth, gap, stretch -> verdict -> advice."""
