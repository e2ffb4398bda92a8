package web

import (
	"errors"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"fairladle/challenge"
	"fairladle/challenge/recipe"
	"fairladle/store"
	"fairladle/web/photo"
	"fairladle/web/text"
	"fairladle/web/views"
)

func (s *Server) showEnter(w http.ResponseWriter, r *http.Request) error {
	c, _, r, err := s.public(r)
	if err != nil {
		return err
	}
	if err := c.TakesEntries(s.db.Now()); err != nil {
		return s.lateWords(r, c, err)
	}
	token, err := s.db.NewToken()
	if err != nil {
		return err
	}
	p := views.EnterPage{Frame: s.enterFrame(r, c), Challenge: c, Token: token}
	if p.KeptDays, err = s.db.KeptDays(r.Context(), c.ID); err != nil {
		return err
	}
	p.Submission.Consents = map[challenge.ConsentKind]bool{}
	p.Submission.Origin = challenge.OriginOwn
	return s.ok(w, r, views.Enter(p))
}

func (s *Server) enterFrame(r *http.Request, c challenge.Challenge) views.Frame {
	f := s.recipeFrame(r, c)
	f.About = text.T(r.Context(), "Send a recipe to “%v” and see how it is read.", c.Title)
	return f
}

// recipeFrame is the frame of a page where a recipe is written.
func (s *Server) recipeFrame(r *http.Request, c challenge.Challenge) views.Frame {
	f := s.frame(r, c.Title)
	f.Wide = true
	f.Scripts = []string{"once.js", "reread.js"}
	return f
}

// enter shows how a recipe is read, or takes the entry; either way everything
// typed is on the page again if it cannot be taken.
func (s *Server) enter(w http.ResponseWriter, r *http.Request) error {
	if err := s.slow(w, r, s.limits.send); err != nil {
		return err
	}
	c, _, r, err := s.public(r)
	if err != nil {
		return err
	}
	if err := parse(r); err != nil {
		return err
	}
	if r.PostFormValue("website") != "" {
		return challenge.Refuse(challenge.Barred, "", "This form was filled in by a program and was not taken.")
	}
	p := views.EnterPage{Frame: s.enterFrame(r, c), Challenge: c, Token: field(r, "token"), Submission: readSubmission(r)}
	if p.KeptDays, err = s.db.KeptDays(r.Context(), c.ID); err != nil {
		return err
	}
	p.Photo, err = s.takePhoto(r, c.Photos)
	wrong := photoWrong(err)
	if err != nil && wrong == nil {
		return err
	}
	corrections := readCorrections(r)
	if r.PostFormValue("do") == "send" && wrong == nil {
		_, token, err := s.db.Submit(r.Context(), c.ID, p.Token, p.Submission, p.Photo, corrections)
		if err == nil {
			return s.received(w, r, token)
		}
		if wrong = s.lateWords(r, c, err); !isRefusal(err) {
			return err
		}
	}
	p.Reading = correctedReading(p.Submission.Text, corrections, c)
	p.Messages, _ = refusals(wrong)
	s.show(w, r, statusOr200(wrong), views.Enter(p))
	return nil
}

// readDraft reads a recipe that is still being written. The form's script asks
// for it, with the text and its corrections alone; it has a limit of its own so
// that asking never uses up a send.
func (s *Server) readDraft(w http.ResponseWriter, r *http.Request) error {
	if err := s.slow(w, r, s.limits.readings); err != nil {
		return err
	}
	c, _, r, err := s.public(r)
	if err != nil {
		return err
	}
	if err := errors.Join(c.TakesEntries(s.db.Now()), parse(r)); err != nil {
		return err
	}
	words := challenge.KeptText(r.PostFormValue("text"))
	return s.ok(w, r, views.ReadSection(c.Slug, correctedReading(words, readCorrections(r), c)))
}

// received mails the private link where a mail server is set up, and leads to
// the page behind it. The entry stands even where the mail cannot be queued.
func (s *Server) received(w http.ResponseWriter, r *http.Request, token string) error {
	if s.config.Mail != nil {
		if err := s.db.MailReceived(r.Context(), token); err != nil {
			s.config.Log.Error("queue the mail to an entrant", "error", err)
		}
	}
	return to(w, r, "/entry/"+token+"?said=received")
}

func isRefusal(err error) bool {
	_, ok := refusals(err)
	return ok
}

func statusOr200(err error) int {
	if err == nil {
		return http.StatusOK
	}
	return formStatus(err)
}

// readSubmission decodes the entry form.
func readSubmission(r *http.Request) challenge.Submission {
	s := challenge.Submission{Name: field(r, "name"), Spoken: field(r, "spoken"), Credit: field(r, "credit"), Email: field(r, "email"),
		Text: r.PostFormValue("text"), Origin: challenge.Origin(field(r, "origin")), OriginNote: field(r, "origin_note"),
		Consents: readConsents(r)}
	s.Normalise()
	return s
}

func readConsents(r *http.Request) map[challenge.ConsentKind]bool {
	given := map[challenge.ConsentKind]bool{}
	for _, k := range challenge.ConsentKinds {
		given[k] = ticked(r, "consent-"+string(k))
	}
	return given
}

// takePhoto makes an uploaded photo harmless and keeps it, or finds the one
// that came with the form before. It returns its sum, "" for none.
func (s *Server) takePhoto(r *http.Request, wanted bool) (string, error) {
	before := field(r, "photo")
	if !wanted || ticked(r, "photo_remove") {
		return "", nil
	}
	file, _, err := r.FormFile("upload")
	if errors.Is(err, http.ErrMissingFile) || errors.Is(err, http.ErrNotMultipart) {
		return before, nil
	}
	if err != nil {
		return before, err
	}
	defer file.Close()
	clean, err := s.photos.Clean(r.Context(), file)
	if err != nil {
		if re, ok := errors.AsType[*photo.Refusal](err); ok && re.Reason == photo.Empty && before != "" {
			return before, nil
		}
		return before, err
	}
	return s.db.AddPhoto(r.Context(), store.Photo{Width: clean.Width, Height: clean.Height, MIME: clean.MIME, Large: clean.Bytes, Thumb: clean.Thumb})
}

// photoWrong turns a refused photo into a message beside its field; nil for
// anything else.
func photoWrong(err error) error {
	if re, ok := errors.AsType[*photo.Refusal](err); ok {
		return challenge.Refusals{challenge.Refuse(challenge.Invalid, "upload", "%v", re.Error())}
	}
	return nil
}

// readCorrections decodes fix-FIELD-START-END fields. Each has the value the
// page showed in was-FIELD-START-END and the text at its place in at-START-END;
// only what was changed becomes a correction.
func readCorrections(r *http.Request) []recipe.Correction {
	var cs []recipe.Correction
	for _, name := range fixNames(r) {
		value := strings.TrimSpace(r.PostForm.Get("fix-" + name))
		if value == strings.TrimSpace(r.PostForm.Get("was-"+name)) {
			continue
		}
		parts := strings.Split(name, "-")
		start, err1 := strconv.Atoi(parts[1])
		end, err2 := strconv.Atoi(parts[2])
		if err1 != nil || err2 != nil || len(value) > 500 {
			continue
		}
		cs = append(cs, recipe.Correction{At: recipe.Place{Start: start, End: end}, Field: parts[0], Value: value,
			Was: challenge.KeptText(r.PostForm.Get("at-" + parts[1] + "-" + parts[2]))})
	}
	return cs
}

// maxFixes bounds how many corrections one form may bring.
const maxFixes = 2000

// fixNames lists the correction fields of a form in a fixed order.
func fixNames(r *http.Request) []string {
	var names []string
	for key := range r.PostForm {
		name, ok := strings.CutPrefix(key, "fix-")
		if ok && strings.Count(name, "-") == 2 && len(names) < maxFixes {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	return names
}
