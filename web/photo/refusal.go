package photo

// Reason says why a picture was refused; a message catalogue can key on it.
type Reason string

// The reasons for a refusal.
const (
	Empty         Reason = "empty"           // nothing was sent
	OtherFormat   Reason = "other-format"    // a picture format that is not taken
	NotAPicture   Reason = "not-a-picture"   // something else, whatever its name says
	TooManyBytes  Reason = "too-many-bytes"  // more than MaxBytes
	TooManyPixels Reason = "too-many-pixels" // more than MaxPixels, or too much memory
	TooSlow       Reason = "too-slow"        // took longer than a photo does
	Broken        Reason = "broken"          // cut off or damaged
)

// Refusal is the error for a picture that is not taken. Format names what it
// looks like ("HEIC", "JPEG"), or is empty where that is unknown.
type Refusal struct {
	Reason Reason
	Format string
}

func refuse(r Reason, format string) *Refusal { return &Refusal{Reason: r, Format: format} }

// Error tells the sender, in plain English, what to do next. It never quotes
// the file.
func (r *Refusal) Error() string {
	switch r.Reason {
	case Empty:
		return "This file is empty. Please choose the photo again."
	case OtherFormat:
		return "This looks like " + article(r.Format) + ". Please save it as JPEG and send it again."
	case TooManyBytes:
		return "This photo is larger than 12 MB. Please send a smaller version."
	case TooManyPixels:
		return "This photo has too many pixels for us. Please make it smaller (under 50 megapixels) and send it again."
	case TooSlow:
		return "This photo took too long to open. Please save it as JPEG and send it again."
	case Broken:
		return "This photo seems to be damaged or cut off. Please send it again, or try another one."
	default:
		return "This file does not look like a photo. Please send a JPEG or PNG picture."
	}
}

func article(format string) string {
	switch format {
	case "HEIC":
		return "a HEIC photo from a phone"
	case "AVIF", "SVG", "ICO":
		return "an " + format + " picture"
	case "PDF":
		return "a PDF document"
	default:
		return "a " + format + " picture"
	}
}
