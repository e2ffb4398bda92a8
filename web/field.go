package web

import (
	"net/http"
	"net/url"
	"strconv"

	"github.com/go-chi/chi/v5"

	"fairladle/challenge"
	"fairladle/store"
	"fairladle/web/text"
	"fairladle/web/views"
)

const fieldPage = 50

// showField is the list of all entries, without names.
func (s *Server) showField(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.SeeField)
	if err != nil {
		return err
	}
	q := fieldQuery(r.URL.Query())
	page, err := s.db.Field(r.Context(), d.actor, d.challenge.ID, q)
	if err != nil {
		return err
	}
	f := s.deskFrame(r, d, text.T(r.Context(), "Entries"))
	f.Said = said(r)
	f.Wide = true
	return s.ok(w, r, views.Field(views.FieldPage{Frame: f, Base: d.base, Total: d.challenge.Entries, Query: q, Page: page, Next: nextAddress(d, q, page)}))
}

// fieldQuery reads what the list is to show from its address.
func fieldQuery(v url.Values) store.FieldQuery {
	after, _ := strconv.Atoi(v.Get("after")) // 0 where there is none: the first page
	return store.FieldQuery{Search: v.Get("q"), Sort: v.Get("sort"), Descending: v.Get("down") == "1",
		AfterKey: v.Get("key"), AfterNumber: after, Size: fieldPage}
}

func nextAddress(d desk, q store.FieldQuery, p store.Page) string {
	if !p.More {
		return ""
	}
	v := url.Values{"sort": {q.Sort}, "key": {p.NextKey}, "after": {strconv.Itoa(p.NextNumber)}}
	if q.Search != "" {
		v.Set("q", q.Search)
	}
	if q.Descending {
		v.Set("down", "1")
	}
	return d.base + "/entries?" + v.Encode()
}

// numbered is the dish of the entry whose number a path holds.
func (s *Server) numbered(r *http.Request, d desk) (int64, error) {
	n, err := strconv.Atoi(chi.URLParam(r, "number"))
	if err != nil {
		return 0, challenge.NotFound("There is no such entry.")
	}
	return s.db.EntryByNumber(r.Context(), d.challenge.ID, n)
}

func (s *Server) showEntry(w http.ResponseWriter, r *http.Request) error {
	return s.entryPage(w, r, nil)
}

// showSender adds who sent the entry, for a host; the look is logged.
func (s *Server) showSender(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.SeeAddress)
	if err != nil {
		return err
	}
	dish, err := s.numbered(r, d)
	if err != nil {
		return err
	}
	sender, err := s.db.Sender(r.Context(), d.actor, d.challenge.ID, dish)
	if err != nil {
		return err
	}
	v := senderOf(sender)
	return s.entryPage(w, r, &v)
}

func (s *Server) entryPage(w http.ResponseWriter, r *http.Request, sender *views.Sender) error {
	d, r, err := s.desk(r, challenge.SeeField)
	if err != nil {
		return err
	}
	dish, err := s.numbered(r, d)
	if err != nil {
		return err
	}
	p, err := s.entryOnDesk(r, d, dish)
	if err != nil {
		return err
	}
	p.Sender, p.Frame.Said = sender, said(r)
	return s.ok(w, r, views.Entry(p))
}

// entryOnDesk is the page of one entry, without its sender.
func (s *Server) entryOnDesk(r *http.Request, d desk, dish int64) (views.EntryPage, error) {
	x, err := s.db.Masked(r.Context(), dish)
	if err != nil {
		return views.EntryPage{}, err
	}
	f := s.deskFrame(r, d, text.T(r.Context(), "No. %v", x.Dish.Number))
	f.Wide = true
	p := views.EntryPage{Frame: f, Base: d.base, Recipe: x, Reading: comparedReading(x.Text, x.Reading, d.challenge),
		MaySeeSender: challenge.May(d.actor, challenge.SeeAddress, d.challenge.ID) == nil}
	origin, broughtIn, err := s.db.Origin(r.Context(), dish)
	if err != nil {
		return p, err
	}
	if broughtIn {
		p.Origin = &origin
	}
	return p, s.standing(r, d, dish, &p)
}
