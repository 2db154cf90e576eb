"""scan -> skin -> landmarks -> tape -> dimensions: from a file of triangles to a measured body."""
