"""Paper: cut lines, notches and marks, true-scale sheets to cut from, and the guide that goes with them."""
