package diag

// Codes of comparing what was issued.
var (
	DiffDamaged = row("DIFF_DAMAGED", Error, "a file of an edition is missing, cannot be read, or is not what it must be",
		"what it says is not compared; the rest is", "run planfold verify on the tree; delete the edition's folder and convert again: the same bytes come back")
	DiffHeldLater = row("DIFF_HELD_LATER", Info, "an edition that was issued after the current one is held",
		"the current one is compared", "to compare the held one, give the two editions' folders; the file HELD in it says why it is held")
)
