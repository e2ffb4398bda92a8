package intake

// Reason is why something is doubtful or skipped, or what to know about it: a
// short code that is stored. Its String is a sentence for the host.
type Reason string

// The reasons.
const (
	Bounce      Reason = "bounce"
	AutoReply   Reason = "auto-reply"
	Receipt     Reason = "receipt"
	NoRecipe    Reason = "no-recipe"
	OnlyQuoted  Reason = "only-quoted"
	TooLong     Reason = "too-long"
	TooMuch     Reason = "too-much"
	Nothing     Reason = "empty"
	Damaged     Reason = "damaged"
	PDF         Reason = "pdf"
	FromPDF     Reason = "from-pdf"
	OtherKind   Reason = "other-kind"
	BadPath     Reason = "bad-path"
	Nested      Reason = "nested"
	Protected   Reason = "protected"
	NoColumns   Reason = "no-columns"
	Unclear     Reason = "unclear"
	Card        Reason = "card"
	Forwarded   Reason = "forwarded"
	PartDamaged Reason = "part-damaged"
	WholePage   Reason = "whole-page"
	Several     Reason = "several"
	MorePhotos  Reason = "more-photos"
	NoAddress   Reason = "no-address"
	LongPhoto   Reason = "long-photo"
	// What only shows beside what came in before.
	Again     Reason = "again"
	Known     Reason = "known"
	Copy      Reason = "copy"
	OverLimit Reason = "over-limit"
	BadPhoto  Reason = "bad-photo"
	Erased    Reason = "erased"
)

var sentences = map[Reason]string{
	Bounce:      "A mail server's report that something was not delivered.",
	AutoReply:   "An automatic reply.",
	Receipt:     "A receipt that says a mail was read.",
	NoRecipe:    "There is no recipe in it.",
	OnlyQuoted:  "It only quotes another mail.",
	TooLong:     "It is longer than any recipe: at most 200,000 characters are kept.",
	TooMuch:     "There is more in this file than one import takes. Bring the rest in with another import.",
	Nothing:     "It is empty.",
	Damaged:     "The file is damaged and could not be read.",
	PDF:         "No text could be read from this PDF; a scan holds none. Save it as text or as a Word document, or paste its text.",
	FromPDF:     "Taken from a PDF: look whether its lines are in order.",
	OtherKind:   "This kind of file cannot be read here. Save it as text, as a web page or as a Word document.",
	BadPath:     "Its name in the archive points outside the archive, so it was left alone.",
	Nested:      "It lies in an archive inside an archive inside an archive. Unpack it first.",
	Protected:   "It is protected by a password. Save it without one.",
	NoColumns:   "No column of the table holds a recipe. Say which column is which when you choose the file.",
	Unclear:     "No list of ingredients or no method was found in it; look whether it is a whole recipe.",
	Card:        "A picture without text: somebody has to type the recipe in.",
	Forwarded:   "It was forwarded: somebody else may have written it.",
	PartDamaged: "Parts of the mail are damaged; look whether the recipe is whole.",
	WholePage:   "Taken from the whole text of a web page; it may hold more than the recipe.",
	Several:     "More than one recipe came in the same mail.",
	MorePhotos:  "More than one picture came with it; all come along, six at most.",
	NoAddress:   "There is no address, so nobody can be sent a private link.",
	Again:       "The same came earlier in this file.",
	Known:       "It was brought in before.",
	Copy:        "It is much like another recipe; compare them.",
	OverLimit:   "This sender has more recipes here than one person may send.",
	Erased:      "The data of its sender were erased here, so it stays out.",
	BadPhoto:    "Its picture could not be read and was left out.",
	LongPhoto:   "A picture in it is larger than 12 MB and was left out.",
}

// String is the reason as a sentence.
func (r Reason) String() string { return sentences[r] }
