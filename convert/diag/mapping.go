package diag

// Codes of mapping a plan onto operations and steps. Those that hold an edition
// are the ones where a hazard, quantity, characteristic, sign-off, order or
// effectivity could not be read: such a value is never guessed and never left out
// in silence.
var (
	MapPlanMissing = row("MAP_PLAN_MISSING", Error, "no element of the export is a plan by the rules, or it has no id",
		"the plan is refused", "check read.plan of the rules: its match, its namespaces, its id")
	MapPlanHeld = row("MAP_PLAN_HELD", Error, "a rule says that the plan must not be released as it is",
		"the edition is held", "settle what the rule's reason names; it is in the message").holding()
	MapPlanTwice = row("MAP_PLAN_TWICE", Error, "several elements of the export are the plan by the rules",
		"the first counts", "narrow read.plan in the rules")
	MapIDMissing = row("MAP_ID_MISSING", Error, "an item, occurrence or saved view has no id, so that nothing can refer to it, or an occurrence no item",
		"it is left out", "give it an id in the plan, or take another value as its id in the rules")
	MapOperationUnnamed = row("MAP_OPERATION_UNNAMED", Warning, "an operation has no id",
		"it is named by its place among the operations", "give it an id in the plan, or take another value as its id in the rules")
	MapItemTwice = row("MAP_ITEM_TWICE", Error, "one item id stands for two items that differ",
		"the first is kept", "correct the plan, or take more of it into the id in the rules")
	MapOccurrenceTwice = row("MAP_OCCURRENCE_TWICE", Error, "two occurrences within one item have the same id",
		"the first is kept", "correct the plan")
	MapViewTwice = row("MAP_VIEW_TWICE", Error, "two saved views have the same id",
		"the first is kept", "correct the plan")
	MapOperationTwice = row("MAP_OPERATION_TWICE", Error, "two operations of a plan have the same id, so that their order is not certain",
		"both are kept; the later one's id gets its place added; the edition is held", "correct the plan").holding()
	MapStepTwice = row("MAP_STEP_TWICE", Error, "two steps of an operation have the same id, so that their order is not certain",
		"both are kept; the later one is named by its place; the edition is held", "correct the plan").holding()
	MapOperationEmpty = row("MAP_OPERATION_EMPTY", Warning, "an operation has hazards, parts or the like for all its steps, but no step of its own",
		"they are shown in a step of its own, named by its place", "give it a step in the plan, or the rules another path to its steps")

	MapRefMissing = row("MAP_REF_MISSING", Error, "something refers to an item, operation, occurrence or saved view that the plan does not have",
		"the reference is kept as the plan has it", "correct the plan, or the rules that read what it refers to")
	MapQuantityInvalid = row("MAP_QUANTITY_INVALID", Error, "a quantity is not a decimal number, or is below nothing, or the plan gives two that differ",
		"it is left out; the edition is held", "correct the plan; declare decimalComma if the plan writes commas; take the number out with a pattern").holding()
	MapQuantityMissing = row("MAP_QUANTITY_MISSING", Warning, "a part has no quantity, though the rules look for it and other parts of the plan have one",
		"the part is shown without, and the step says so", "correct the plan, or the path of the quantity in the rules")
	MapQuantityNone = row("MAP_QUANTITY_NONE", Warning, "no part of the plan has a quantity, though the rules look for it",
		"the parts are shown without, and each step says so", "correct the path of the quantity in the rules, if the plan has quantities")
	MapQuantityDiffers = row("MAP_QUANTITY_DIFFERS", Warning, "a quantity that counts pieces is not the number of occurrences that the part names",
		"both are kept as the plan has them", "correct the plan, or the rules that read either")
	MapOccurrenceDiffers = row("MAP_OCCURRENCE_DIFFERS", Error, "a part names an occurrence of another item, which is neither its substitute nor its alternative",
		"both are kept as the plan has them", "correct the plan, or the rules that read either")
	MapNumberUnread = row("MAP_NUMBER_UNREAD", Error, "a pattern takes a quantity or a limit out of a text and leaves another number, such as a tolerance, that nothing of the record reads or shows",
		"what the pattern takes is kept; the edition is held", "read the other number too, as lower or upper, or keep it with \"rest: notes\"").holding()
	MapCharacteristicInvalid = row("MAP_CHARACTERISTIC_INVALID", Error, "a characteristic has a limit that is not a decimal number, or two that differ, or a point that is neither hold nor witness",
		"that value is left out; the edition is held", "correct the plan, or the rules that read it").holding()
	MapLimitsCross = row("MAP_LIMITS_CROSS", Error, "the lower limit of a characteristic is above its upper limit",
		"both are kept as the plan has them; the edition is held", "correct the plan, or the rules that read either").holding()
	// It does not hold: the limits of many fits (ISO 286, a shaft f7) leave out the nominal size.
	MapNominalOutside = row("MAP_NOMINAL_OUTSIDE", Warning, "the nominal of a characteristic lies outside its limits",
		"all are kept as the plan has them, and the step says so", "check which of them is wrong; of a fit that leaves out its nominal size, nothing")
	MapHazardEmpty = row("MAP_HAZARD_EMPTY", Error, "a hazard statement has no text at all, or nothing but a signal word",
		"nothing is put in its place; the edition is held", "correct the plan, or the rules that read it").holding()
	MapHazardIncomplete = row("MAP_HAZARD_INCOMPLETE", Warning, "a hazard statement has no signal word, or does not say what the hazard is",
		"it is shown as it is; nothing is put in its place", "correct the plan, or the rules that read it")
	MapHazardUnread = row("MAP_HAZARD_UNREAD", Error, "a text of an operation begins with a signal word, and no rule reads it",
		"it is not shown, and its step says so; the edition is held", "read it as a hazard statement in the rules; name its element in noHazards if it is none").holding()
	MapHazardOutside = row("MAP_HAZARD_OUTSIDE", Warning, "a text that stands outside of all operations begins with a signal word, and no rule reads it",
		"it is shown nowhere", "if it concerns the work, let a join read it as a hazard statement of the steps; name its element in noHazards if it is none")
	MapSignalWordAlone = row("MAP_SIGNAL_WORD_ALONE", Warning, "an attribute of an operation is a signal word, with no text in or beside its element, and no rule reads it",
		"it is not shown, and its step says so", "read it as a hazard statement in the rules, if it is one; name its element in noHazards if it is none")
	MapHazardUnsaid = row("MAP_HAZARD_UNSAID", Warning, "a text stands in a hazard statement that lacks the consequence or how to avoid it, and does not say it",
		"it is not shown; its step says so", "read it as a part of the hazard statement in the rules")
	MapHazardLanguages = row("MAP_HAZARD_LANGUAGES", Warning, "a text of a hazard statement is not in a language that others of its texts are in",
		"it is shown in the language that it has, and the step says so", "translate it in the plan, or the table that a rule takes it from; correct the path of that language in the rules")
	MapHazardAsText = row("MAP_HAZARD_AS_TEXT", Warning, "a text of an operation begins with a signal word, and the rules read it as any other text",
		"it is shown as that text, and no hazard statement", "read it as a hazard statement in the rules, or write it as one in the plan; name its element in noHazards if it is none")
	MapCharacteristicEmpty = row("MAP_CHARACTERISTIC_EMPTY", Warning, "a characteristic has neither a nominal value nor a limit",
		"it is shown without", "correct the plan, or the rules that read or add it; what is judged by eye needs none")
	MapUnitNone = row("MAP_UNIT_NONE", Warning, "a characteristic has a nominal value or a limit, or a part a quantity that counts no whole pieces, and no unit",
		"the number is shown without, and the step says so", "correct the plan, or the rules that read or add it; of what has no dimension the unit is C62 (one)")
	MapSignOffEmpty = row("MAP_SIGN_OFF_EMPTY", Error, "a sign-off has no role",
		"nothing is put in its place; the edition is held", "correct the plan, or the rules that read it").holding()
	MapOrderInvalid = row("MAP_ORDER_INVALID", Error, "an entry of a tightening sequence has no order that is a whole number, or no occurrence; or the order of an operation or step is not a decimal number",
		"the entry is left out, the operation or step keeps its place in the plan; the edition is held", "correct the plan, or the rules that read it").holding()
	// It does not hold: two spindles tighten at once, and some screws may wait for a later step.
	MapTighteningDoubtful = row("MAP_TIGHTENING_DOUBTFUL", Warning, "a tightening sequence names an occurrence more often than others, or two with one number, or some and not all of those of a part of its step",
		"it is kept as the plan has it, and the step says so", "correct the plan, or the rules that read it; where it is so meant, nothing")
	MapJoinAmbiguous = row("MAP_JOIN_AMBIGUOUS", Error, "a join finds several records that give one value differently, or several that each give a quantity",
		"the value is left out; the edition is held", "correct the plan, or narrow the join's match in the rules").holding()
	MapConditionFailed = row("MAP_CONDITION_FAILED", Error, "a rule's condition could not be answered, so that what it would have set is not certain",
		"the rule does not fire; the edition is held", "guard the condition: test with != \"\" before decimal(), use orValue() on what may be unknown").holding()
	MapActionFailed = row("MAP_ACTION_FAILED", Error, "a rule fires and what it sets cannot be made: an expression in a text fails or gives nothing, a table has no such row",
		"that action is left out; the rest of the rule is done", "guard the rule with a condition, or complete the table; the message names the rule")
	MapSafetyNotSet = row("MAP_SAFETY_NOT_SET", Error, "a rule fires and the hazard statement, characteristic, sign-off or hold that it asks for cannot be made",
		"nothing is put in its place; the edition is held", "guard the rule with a condition, or complete the table; the message names the rule").holding()
	MapAlternativeTwice = row("MAP_ALTERNATIVE_TWICE", Error, "rules choose several alternatives of one group",
		"the whole group is kept; the edition is held", "let the conditions of the rules exclude each other").holding()
	MapAlternativeOpen = row("MAP_ALTERNATIVE_OPEN", Warning, "no rule chooses between alternatives",
		"all are kept", "choose one by a rule, or leave the choice to the floor")
	MapEvidenceInvalid = row("MAP_EVIDENCE_INVALID", Error, "evidence to record is neither a photo nor a value",
		"it is left out", "correct the plan, or translate the kind in the rules")
	MapValueUnknown = row("MAP_VALUE_UNKNOWN", Error, "a value is none of those that its field can have",
		"it is left out", "correct the plan, or translate the value in the rules")
	MapPlacementInvalid = row("MAP_PLACEMENT_INVALID", Error, "a placement is not 12 or 16 finite numbers that move and turn",
		"it is left out", "correct the plan; check frame.matrix in the rules")
	MapViewInvalid = row("MAP_VIEW_INVALID", Error, "a saved view's camera lacks a number, or has one that is not finite",
		"the camera is left out", "correct the plan")
	MapFileMissing = row("MAP_FILE_MISSING", Error, "an attachment or a geometry names no file",
		"it is left out", "correct the plan, or the rules that read it")
	MapFileRepeated = row("MAP_FILE_REPEATED", Info, "a step names one file twice",
		"it is shown once, where it stands first", "nothing needs to be done")
	MapPartLeftOut = row("MAP_PART_LEFT_OUT", Info, "a rule leaves out a part of a step",
		"the part's row is not in the step; the reason is in the message", "nothing needs to be done")
	MapRecordMissing = row("MAP_RECORD_MISSING", Error, "something refers to a part, step, hazard or the like that stands elsewhere in the plan, and is not there",
		"it is left out; the edition is held", "correct the plan, or the join in the rules").holding()
	MapRecordUnused = row("MAP_RECORD_UNUSED", Warning, "a record that is read through a join stands in the plan, or all of a join do, and nothing refers to it, or to any",
		"it is shown nowhere", "correct the plan, or narrow the join's match in the rules")
	MapVitalUnused = row("MAP_VITAL_UNUSED", Error, "hazard statements, parts, characteristics, sign-offs, tightening or steps are read through a join, and no key leads to any of its records, though something in an operation names one",
		"none is shown; the edition is held", "correct \"by\" in the rules, or the plan").holding()
	MapOwnerMissing = row("MAP_OWNER_MISSING", Error, "a part, hazard statement, characteristic or sign-off stands elsewhere in the plan and names a step or an operation that is not there, or that the rules do not read",
		"it is shown nowhere; the edition is held", "correct the plan, or narrow the join's match in the rules to what is read").holding()
	MapEffectivityInvalid = row("MAP_EFFECTIVITY_INVALID", Error, "an effectivity cannot be read, or not be compared with what is asked for: its limits are no dates, end before they begin, or are serial numbers with another beginning",
		"what it limits is kept; the edition is held", "correct the plan; take the number or the date out with a pattern").holding()
	MapEffectivityUnasked = row("MAP_EFFECTIVITY_UNASKED", Warning, "something is limited to dates where a serial number is asked for, or to serial numbers where a date is",
		"that limit does not restrict it", "check that it holds; ask with the other kind of --effective")
	MapNotEffective = row("MAP_NOT_EFFECTIVE", Info, "something does not hold for the serial number or date that is asked for",
		"it is left out", "nothing needs to be done")
	MapLanguageUnknown = row("MAP_LANGUAGE_UNKNOWN", Warning, "what says the language of a text is no language tag (BCP 47)",
		"the text is shown without a language, on its own", "take the tag with \"lang\", or name the path of each language with \"languages\" in the rules")
	MapLanguageUnread = row("MAP_LANGUAGE_UNREAD", Warning, "several texts become one, as of one language or of none, and an attribute of theirs seems to say that they are in several",
		"they follow each other in one text", "take the attribute with \"lang\" in the rules")
	MapUnitUnknown = row("MAP_UNIT_UNKNOWN", Info, "a unit is neither in the units of the rules nor a code of UN/ECE Recommendation 20",
		"it is shown as the plan has it", "add it to units in the rules, with its code")
	MapDurationInvalid = row("MAP_DURATION_INVALID", Warning, "a planned duration or a shelf life is not a duration of ISO 8601, or is below nothing",
		"it is shown as the plan has it, and the step says so", "correct the plan, or write it so in the rules, such as path: \"concat('PT', @minutes, 'M')\"")
	MapAttachmentLeftOut = row("MAP_ATTACHMENT_LEFT_OUT", Info, "a rule leaves out an attachment",
		"the attachment is not in the step; the reason is in the message", "nothing needs to be done")
	MapCharacteristicLeftOut = row("MAP_CHARACTERISTIC_LEFT_OUT", Warning, "a rule leaves out a characteristic, which the plan or another rule asks to measure",
		"it is not in the step, which says so; the reason is in the message", "see that the reason holds")
	MapHidden = row("MAP_HIDDEN", Info, "a rule keeps an item or an occurrence from being drawn",
		"it is in no scene; the reason is in the message", "nothing needs to be done")
	MapMarkupDropped = row("MAP_MARKUP_DROPPED", Info, "a text has markup that is not safe, or not known, in HTML",
		"its words are kept without that markup", "nothing needs to be done")
)
