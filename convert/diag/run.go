package diag

// Codes of a run: what concerns a plan or an edition as a whole.
var (
	RunPanic = row("RUN_PANIC", Error, "a plan or a geometry file made the converter fail inside",
		"that plan or file is left out; the rest goes on", "report it with the input; the message names the place in the code")
	RunPlanTwice = row("RUN_PLAN_TWICE", Error, "two files of the run have one plan id and revision, or ids that differ in letter case alone",
		"both are refused", "convert one of them, or give them different ids or revisions")
	SketchEmpty = row("SKETCH_EMPTY", Error, "nothing in the export looks like an operation, so no rules can be proposed",
		"nothing is written", "look whether it is the export of a plan; write the rules by hand, by the guide of the rule language")
	RunPlanEmpty = row("RUN_PLAN_EMPTY", Error, "the rules find no step in the plan, or none that holds for the effectivity asked for",
		"the plan is refused; what was issued of it before stays", "check that read.operations in the rules matches the plan's operations")
	RunPlanNameless = row("RUN_PLAN_NAMELESS", Error, "the plan has no id",
		"the plan is refused", "give plan.id a path, a file pattern or a default in the rules")
	RunRevisionFromDigest = row("RUN_REVISION_FROM_DIGEST", Info, "the plan has no revision",
		"the revision is \"sha-\" and 12 digits of the plan file's SHA-256", "if the plan has a revision, give plan.revision a path in the rules")
	RunRevisionUndecided = row("RUN_REVISION_UNDECIDED", Error, "nothing says which of two revisions of a plan is the newer one",
		"the edition is issued; the current one stays", "set revisionOrder in the rules")
	ItemUnused = row("ITEM_UNUSED", Info, "no step consumes an item and no structure places it",
		"nothing; its documents and geometry are not shown anywhere", "check that the reading rules find the parts that consume it")
	RunCheckFailed = row("RUN_CHECK_FAILED", Error, "a document that was about to be issued does not pass its own check",
		"nothing of this plan is issued", "report it with the input; it is a fault of the converter")
	OrderCycle = row("ORDER_CYCLE", Error, "steps wait for each other in a circle",
		"they are put last, in the plan's order; the edition is held", "mend the predecessors in the plan").holding()
	OrderUnbuilt = row("ORDER_UNBUILT", Warning, "a step, or an operation for all of its steps, consumes what an operation builds, and does not wait for it",
		"the step is issued as the plan has it, and says so", "add the predecessor to the plan, or read it; or let rules skip the operation")
	OrderConsumedTwice = row("ORDER_CONSUMED_TWICE", Warning, "two steps consume the same occurrence",
		"both are issued as the plan has them; the later one says so", "correct the plan, or the rules that read the occurrences of its parts")
	OccurrenceUnconsumed = row("OCCURRENCE_UNCONSUMED", Warning, "no step consumes an occurrence of what is built of occurrences that steps name",
		"it is drawn with the finished product, or with what is built apart, but no step puts it there", "add it to a step's parts, or let a rule hide it")
	OrderMissing = row("ORDER_MISSING", Error, "an operation or step waits for one that the plan does not have",
		"it does not wait; the edition is held", "mend the predecessor in the plan, or the rule that reads it").holding()
	OrderOverruled = row("ORDER_OVERRULED", Warning, "an operation or step waits for one whose order number is higher than its own",
		"it waits: predecessors count more than order numbers", "mend the number or the predecessor in the plan, or read one of them alone")
	StepSkipped = row("STEP_SKIPPED", Info, "a rule, or its effectivity, left a step out", "the step is not issued; bundle.json lists it with the reason", "change the rule that it names")
)

// Codes of files that a plan refers to.
var (
	FileUnreadable = row("FILE_UNREADABLE", Error, "a file cannot be read",
		"what needs it is left out", "check the file and its permissions")
	FileMissing = row("FILE_MISSING", Error, "the plan names a file that is not there",
		"the row stays, without the document or the geometry", "add the file below the folder given by -a or -g, or mend its name in the plan")
	FileCase = row("FILE_CASE", Warning, "the plan names a file in another letter case than it has, or with accents composed otherwise",
		"the file is used", "mend the name in the plan or of the file")
	FileOutside = row("FILE_OUTSIDE", Error, "the plan names a file outside the input folder",
		"the file is not read", "move the file below the folder given by -a or -g")
	FileType = row("FILE_TYPE", Warning, "a file's content is of another type than its name says",
		"it is carried under the type of its content", "rename the file")
	FileTypeUnknown = row("FILE_TYPE_UNKNOWN", Error, "a file is of no type that can be shown",
		"the row stays, without the document", "give it as a picture, PDF, film or plain text")
	FilePictureKept = row("FILE_PICTURE_KEPT", Warning, "a picture cannot be scaled to the profile's pictureEdge",
		"it is carried as it is", "give it as a JPEG or PNG that other programs open")
	FilePictureHuge = row("FILE_PICTURE_HUGE", Error, "a picture has more pixels than can be decoded safely",
		"the row stays, without the document", "make the picture smaller")
	FileTooLarge = row("FILE_TOO_LARGE", Error, "a document is larger than the profile allows",
		"the row stays, without the document", "make the document smaller, or raise attachmentBytes in the profile")
	ItemGeometryUnusable = row("ITEM_GEOMETRY_UNUSABLE", Error, "an item's geometry file could not be used",
		"the item is shown without geometry", "see the report on that file")
	ItemSizeOdd = row("ITEM_SIZE_ODD", Warning, "an item's geometry is less than 0.3 mm large, or more than 100 m, as if its file were in another unit",
		"it is shown in that size", "set the unit of its format under frame.geometry in the rules; glTF is in metres")
	ItemNodeMissing = row("ITEM_NODE_MISSING", Error, "an item names a node that its geometry file does not have",
		"the item is shown without that geometry", "mend the node's name in the plan")
)
