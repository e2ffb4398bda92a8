package intake

import (
	"bytes"
	"strings"
)

// attached is what comes with a mail besides its text.
type attached struct {
	photos   []Photo
	raws     []Raw // of documents, texts and archives, skipped ones too
	mails    [][]byte
	tooLarge bool
}

// smallest is the size in bytes below which a picture is an ornament.
const smallest = 8 << 10

func (in *intake) attachments(m letter, where string, depth int) attached {
	var a attached
	for i, p := range m.parts {
		if i >= maxParts {
			break
		}
		name := shortName(p.FileName)
		switch {
		case len(bytes.TrimSpace(p.Content)) == 0:
		case strings.HasPrefix(p.ContentType, "message/"):
			if depth < maxInner && p.ContentType == "message/rfc822" {
				a.mails = append(a.mails, p.Content)
			}
		case strings.HasPrefix(p.ContentType, "text/") && name == "" && !looksLikeLinked(head(string(p.Content[:min(len(p.Content), 4096)]))):
			// Another body: the reading of the mail has it already.
		case isPicture(p.Content):
			a.picture(name, p.Content)
		case name != "" || strings.HasPrefix(p.ContentType, "application/"):
			a.raws = append(a.raws, in.attachedFile(where+", "+name, p.Content)...)
		}
	}
	return a
}

func (a *attached) picture(name string, data []byte) {
	switch {
	case len(data) < smallest || len(a.photos) >= maxPhotos:
	case len(data) > maxPhoto:
		a.tooLarge = true
	default:
		a.photos = append(a.photos, Photo{name, data})
	}
}

// attachedFile reads an attached file with what is left of the bounds.
func (in *intake) attachedFile(name string, data []byte) []Raw {
	var out []Raw
	sub := &intake{options: in.options, left: in.left, yield: func(r Raw) bool {
		out = append(out, r)
		return len(out) < 50
	}}
	if k := sniff(name, data); k == kindMail || k == kindMailbox {
		return nil // such as a calendar or a key that looks like one
	}
	sub.file(name, data, 1)
	in.left = sub.left
	return out
}

// settle decides what a mail's text and attachments make: the text where it is
// a recipe, else the attached recipes, else the picture of one.
func (in *intake) settle(m letter, r Raw, a attached) {
	var recipes []Raw
	for _, x := range a.raws {
		if x.Verdict != Skipped {
			recipes = append(recipes, x)
		} else if r.Verdict == Skipped && !dullReason(x.Reasons) {
			r.Reasons = append(r.Reasons, x.Reasons...)
		}
	}
	if a.tooLarge {
		r.note(LongPhoto)
	}
	if len(a.photos) > 1 {
		r.note(MorePhotos)
	}
	if r.Verdict != Skipped || len(recipes) == 0 {
		r.Photos = a.photos
		if r.Verdict == Skipped && len(a.photos) > 0 && !r.has(OnlyQuoted) {
			r.Text, r.Title, r.Verdict, r.Reasons = "", m.subject, "", nil
			r.weaker(Doubtful, Card)
		}
		in.give(r)
	}
	for i, x := range recipes {
		x.From, x.Date, x.Key = firstSender(x.From, r.From), r.Date, r.Key+"#"+numbered("attached", i+1)
		if r.Verdict != Skipped {
			x.weaker(Doubtful, Several)
		} else if len(recipes) > 1 {
			x.note(Several)
		}
		if r.Verdict == Skipped && i == 0 && len(x.Photos) == 0 {
			x.Photos = a.photos
		}
		in.give(x)
	}
}

// dullReason says that an attachment's reason adds nothing to the mail's.
func dullReason(rs []Reason) bool {
	for _, r := range rs {
		if r == PDF || r == TooLong || r == Protected {
			return false
		}
	}
	return true
}

func (r *Raw) has(why Reason) bool {
	for _, x := range r.Reasons {
		if x == why {
			return true
		}
	}
	return false
}

// firstSender is the mail's own sender; only the mail knows the address.
func firstSender(inside, mail Sender) Sender {
	if mail.Name == "" {
		mail.Name = inside.Name
	}
	return mail
}
