package diag

// Codes of a step's scene and of the structure that it shows.
var (
	SceneStructureCycle = row("SCENE_STRUCTURE_CYCLE", Error, "an item stands within itself in the product structure",
		"the occurrence that closes the circle is left out", "correct the structure at the position given")
	SceneStructureLimit = row("SCENE_STRUCTURE_LIMIT", Error, "a product structure is deeper or larger than can be shown",
		"what lies beyond the limit is left out", "convert the sub-assemblies as plans of their own")
	SceneOccurrenceTwice = row("SCENE_OCCURRENCE_TWICE", Error, "two occurrences within one item have the same id",
		"the first is kept, the other left out", "give each occurrence its own id")
	SceneOccurrenceUnknown = row("SCENE_OCCURRENCE_UNKNOWN", Error, "an occurrence is named that the structure does not have",
		"it is not shown; a part without any known occurrence is shown on the tray", "correct the path; it counts from what the operation builds")
	SceneItemUnknown = row("SCENE_ITEM_UNKNOWN", Warning, "a rule gives a role to an item that the plan does not have",
		"nothing is shown or hidden by it", "correct the item in the rule, or narrow its condition to the plans that have it")
	SceneOccurrenceUnplaced = row("SCENE_OCCURRENCE_UNPLACED", Warning, "some occurrences of a part have a placement and others have none",
		"those without are not shown", "give each occurrence a placement")
	ScenePartUnplaced = row("SCENE_PART_UNPLACED", Info, "a part of a step has no placement, and others have",
		"it lies beside them, and the step says that its place is not known", "name its occurrences in the part, and give each a placement")
	ScenePlacementMirrored = row("SCENE_PLACEMENT_MIRRORED", Warning, "a placement mirrors what it places",
		"it is kept; mind that a mirrored part is another part", "check the placement, or give the mirrored part its own number")
	ScenePlacementScaled = row("SCENE_PLACEMENT_SCALED", Warning, "a placement changes the size of what it places",
		"it is kept, and deviations are scaled with it", "check the placement and the unit of the geometry")
	ScenePlacementSheared = row("SCENE_PLACEMENT_SHEARED", Warning, "a placement changes the angles of what it places",
		"it is kept, as two turns with a scale between", "check the placement; a rounded or transposed matrix does this")
	ScenePlacementFlat = row("SCENE_PLACEMENT_FLAT", Error, "a placement flattens what it places, or holds what is not a number",
		"the occurrence counts as not placed", "correct the placement")
	SceneItemWithoutGeometry = row("SCENE_ITEM_WITHOUT_GEOMETRY", Info, "the plan names no geometry for an item of the step",
		"the part keeps its row and, where the step has a scene, an empty node", "name its geometry if it has any")
	SceneGeometryMissing = row("SCENE_GEOMETRY_MISSING", Warning, "the geometry that the plan names for an item of the step cannot be used",
		"the part keeps its row and, where the step has a scene, an empty node", "see the message about the file")
	ScenePartWithoutItem = row("SCENE_PART_WITHOUT_ITEM", Warning, "a part names neither an item nor an occurrence",
		"the part keeps its row and, where the step has a scene, an empty node", "name its item")
	SceneContextHidden = row("SCENE_CONTEXT_HIDDEN", Warning, "what is already there does not fit the budget, even at its coarsest",
		"the smallest of it are hidden, and listed", "raise the budget, or hide context by rule")
	SceneBudgetExceeded = row("SCENE_BUDGET_EXCEEDED", Warning, "the parts of the step do not fit its budget, even at their coarsest",
		"all of them are shown at their coarsest", "raise the budget, or divide the step")
	SceneItemBudgetExceeded = row("SCENE_ITEM_BUDGET_EXCEEDED", Warning, "an item does not fit its own budget, even at its coarsest",
		"it is shown at its coarsest", "raise the budget of the item")
	SceneFocusCoarse = row("SCENE_FOCUS_COARSE", Warning, "a part of the step deviates from its source by more than 0.5 mm or 1 % of its size",
		"it is shown as it is", "raise the budget, or hide context by rule")
	SceneViewUnknown = row("SCENE_VIEW_UNKNOWN", Error, "a step names a saved view that the plan does not have",
		"the scene takes no camera and no motion from it: a camera named step is found, and motion is inferred", "correct the name of the view")
	SceneCameraDegenerate = row("SCENE_CAMERA_DEGENERATE", Warning, "the camera of a saved view stands on its target, or its field of view cannot be",
		"the camera is left out, and one named step is found instead; a wrong field of view is replaced by the usual one", "correct the view")
	SceneDisplacedHidden = row("SCENE_DISPLACED_HIDDEN", Info, "a saved view displaces an occurrence that the step does not show",
		"its motion is left out", "nothing, if the view serves several steps; else show it by rule")
	SceneDisplacementScaled = row("SCENE_DISPLACEMENT_SCALED", Warning, "a displaced placement differs from the home placement by more than a move and a turn",
		"the part is moved and not turned", "correct the placement in the view")
	SceneMotionUnused = row("SCENE_MOTION_UNUSED", Info, "a rule moves what the scene does not show in place, or what the saved view moves already",
		"the rule's motion is left out", "read occurrences with placements and the plan's product, so that parts stand in place; or narrow the rule's condition")
	SceneMotionBlocked = row("SCENE_MOTION_BLOCKED", Warning, "no straight way is free by which a part of the step could come in",
		"the part stands at home, without motion", "draw the motion in the saved view, or give it by rule; or look for placements by which parts run into each other")
	SceneMotionCollides = row("SCENE_MOTION_COLLIDES", Info, "the motion that a saved view or a rule gives leads through something, which teeth that roll into each other and rings that stretch do as well",
		"it is shown as it is given, and the step says what it leads through", "draw the motion in the view by another way, or mend the rule, if it is not meant")
	SceneRegistrationHidden = row("SCENE_REGISTRATION_HIDDEN", Warning, "the occurrence by which the step is aligned is not shown, or nobody sees it",
		"the scene is made without it", "show it by rule, or name another")
	SceneRegistrationToCome = row("SCENE_REGISTRATION_TO_COME", Warning, "the step is aligned by what is not there yet when it begins",
		"it is shown, or left out where there is nothing to show", "name another occurrence, or the largest part that is there")
	SceneRegistrationSymmetric = row("SCENE_REGISTRATION_SYMMETRIC", Warning, "what the step is aligned by looks the same when it is turned, so that the overlay may be turned too",
		"the step is issued with it", "name another occurrence if the turn matters; marks on the real part help")
	SceneUnwritable = row("SCENE_UNWRITABLE", Error, "a scene holds a number that a file cannot hold",
		"there is no scene of the step, or no locator or light mesh of what it is aligned by", "look for placements far out of range")
)
