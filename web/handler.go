package web

import (
	"bytes"
	"context"
	"errors"
	"net/http"

	"github.com/a-h/templ"

	"fairladle/challenge"
	"fairladle/challenge/wording"
	"fairladle/store"
	"fairladle/web/text"
	"fairladle/web/views"
)

// page adapts a handler that returns an error.
func (s *Server) page(h func(http.ResponseWriter, *http.Request) error) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		if err := h(w, r); err != nil {
			s.refuse(w, r, err)
		}
	}
}

// statuses by the class of a refusal.
var statuses = map[challenge.Why]int{
	challenge.Invalid: http.StatusUnprocessableEntity,
	challenge.Shut:    http.StatusConflict,
	challenge.Stale:   http.StatusConflict,
	challenge.Barred:  http.StatusForbidden,
	challenge.Missing: http.StatusNotFound,
	challenge.Over:    http.StatusGone,
	challenge.Sealed:  http.StatusConflict,
	challenge.Often:   http.StatusTooManyRequests,
}

// refuse shows an error as a page: a refusal with its sentence, anything else
// with an apology, and the log gets what the visitor must not see.
func (s *Server) refuse(w http.ResponseWriter, r *http.Request, err error) {
	status, sentence, args := statusOf(err)
	if status >= http.StatusInternalServerError && r.Context().Err() == nil {
		s.config.Log.Error("request failed", "route", route(r), "error", err)
	}
	if status == http.StatusForbidden && s.host(r) == 0 && r.Method == http.MethodGet && isHostPage(r) {
		http.Redirect(w, r, "/login?to="+urlEscape(r.URL.RequestURI()), http.StatusSeeOther)
		return
	}
	v := text.From(r.Context())
	f := s.frame(r, v.T(refusalTitle(status)))
	f.Quiet = true
	s.show(w, r, status, views.Refused(views.RefusedPage{Frame: f, Sentence: v.T(sentence, args...), Again: status == http.StatusConflict}))
}

func statusOf(err error) (status int, sentence string, args []any) {
	if rs, ok := errors.AsType[challenge.Refusals](err); ok && len(rs) > 0 {
		return statuses[rs[0].Why], rs[0].Text, rs[0].Args
	}
	if re, ok := errors.AsType[*challenge.Refusal](err); ok {
		return statuses[re.Why], re.Text, re.Args
	}
	if _, ok := errors.AsType[*http.MaxBytesError](err); ok {
		return http.StatusRequestEntityTooLarge, wording.Key("This is more than can be sent at once. A recipe may have 200,000 characters and a photo 12 MB. Go back: your browser keeps what you typed."), nil
	}
	if errors.Is(err, store.ErrFull) || errors.Is(err, store.ErrReadOnly) {
		return http.StatusInsufficientStorage, "This server has no room left, or cannot write to its disk. Nothing you sent was saved; keep what you typed, tell the host, and send it again later.", nil
	}
	if errors.Is(err, context.Canceled) {
		return 499, wording.Key("The connection was closed."), nil
	}
	return http.StatusInternalServerError, wording.Key("Something went wrong on the server. What you sent may not have been saved; go back and send it again. If it happens again, tell the host."), nil
}

// refusals splits an error into messages by field, for a form shown again; ok
// is false for errors that no form can show.
func refusals(err error) (m views.Messages, ok bool) {
	var all challenge.Refusals
	if rs, isMany := errors.AsType[challenge.Refusals](err); isMany {
		all = rs
	} else if re, isOne := errors.AsType[*challenge.Refusal](err); isOne {
		all = challenge.Refusals{re}
	} else {
		return nil, false
	}
	m = views.Messages{}
	for _, re := range all {
		switch re.Why {
		case challenge.Invalid, challenge.Shut, challenge.Stale, challenge.Sealed:
			m[re.Field] = append(m[re.Field], views.Message{Text: re.Text, Args: re.Args})
		default:
			return nil, false
		}
	}
	return m, true
}

// formStatus is the status of a form shown again because of err.
func formStatus(err error) int {
	status, _, _ := statusOf(err)
	return status
}

// show renders into a buffer first, so that a page is whole or not there.
func (s *Server) show(w http.ResponseWriter, r *http.Request, status int, c templ.Component) {
	var b bytes.Buffer
	if err := c.Render(r.Context(), &b); err != nil {
		s.config.Log.Error("render", "route", route(r), "error", err)
		http.Error(w, "Something went wrong on the server.", http.StatusInternalServerError)
		return
	}
	h := w.Header()
	h.Set("Content-Type", "text/html; charset=utf-8")
	if h.Get("Cache-Control") == "" {
		h.Set("Cache-Control", "no-store")
	}
	w.WriteHeader(status)
	w.Write(b.Bytes()) //nolint:errcheck // the client is gone
}

// ok shows a page with status 200.
func (s *Server) ok(w http.ResponseWriter, r *http.Request, c templ.Component) error {
	s.show(w, r, http.StatusOK, c)
	return nil
}

// answer ends a POST whose work came back with err: on to the page that shows
// what it did or, where it was refused, the form again with what was typed.
func (s *Server) answer(w http.ResponseWriter, r *http.Request, err error, done string, again func(views.Messages) (templ.Component, error)) error {
	m, refused := refusals(err)
	switch {
	case refused:
		page, pageErr := again(m)
		if pageErr != nil {
			return pageErr
		}
		s.show(w, r, formStatus(err), page)
		return nil
	case err != nil:
		return err
	}
	return to(w, r, done)
}

// to ends a POST: 303 to the page that shows what it did.
func to(w http.ResponseWriter, r *http.Request, path string) error {
	http.Redirect(w, r, path, http.StatusSeeOther)
	return nil
}
