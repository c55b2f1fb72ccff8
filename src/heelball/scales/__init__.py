"""Size scales and width letters: what each of their marks stands for, in mm, both ways."""
