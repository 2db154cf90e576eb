"""The invented sample dolls: forms, fields and meshes."""
