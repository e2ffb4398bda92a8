package intake

import "time"

// Verdict is what the program makes of something that came in. The host
// decides.
type Verdict string

// The verdicts.
const (
	Entry    Verdict = "entry"    // a recipe
	Doubtful Verdict = "doubtful" // perhaps a recipe: somebody has to look
	Skipped  Verdict = "skipped"  // no recipe
)

// Format is how something came in.
type Format string

// The formats that are read.
const (
	Mail     Format = "mail"
	Markdown Format = "markdown"
	Plain    Format = "text"
	Page     Format = "page"     // HTML
	Linked   Format = "json"     // schema.org as JSON-LD
	Table    Format = "table"    // CSV
	Document Format = "document" // DOCX
	Picture  Format = "picture"
	Paper    Format = "pdf"
	Unknown  Format = "unknown"
)

// A Raw is one thing that came in. Text is UTF-8 with LF line ends; it is empty
// for a picture.
type Raw struct {
	Text    string
	Title   string
	From    Sender
	Date    time.Time // as the sender's program wrote it; zero where there is none
	Key     string    // the same for the same thing however often it comes in
	Where   string    // file, and place in it, for a person
	Format  Format
	Photos  []Photo
	Verdict Verdict
	Reasons []Reason
}

// A Sender is who something came from, as far as it says.
type Sender struct{ Name, Address string }

// A Photo is an attached picture as it came: not looked into, not yet harmless.
type Photo struct {
	Name string
	Data []byte
}

// weaker lowers a verdict; it is never raised again.
func (r *Raw) weaker(v Verdict, why Reason) {
	if r.Verdict == "" || r.Verdict == Entry || r.Verdict == Doubtful && v == Skipped {
		r.Verdict = v
	}
	r.note(why)
}

func (r *Raw) note(why Reason) {
	for _, have := range r.Reasons {
		if have == why {
			return
		}
	}
	r.Reasons = append(r.Reasons, why)
}
