package web

import (
	"context"
	"net/http"
	"strings"

	"github.com/go-chi/chi/v5"

	"fairladle/challenge"
	"fairladle/challenge/wording"
	"fairladle/store"
	"fairladle/web/announcement"
	"fairladle/web/text"
	"fairladle/web/views"
)

// The announcements of a challenge: the call for recipes, and how it came out.
const (
	theCall    = "call"
	theResults = "results"
)

// showAnnouncements is the page to copy announcements from.
func (s *Server) showAnnouncements(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.EditChallenge)
	if err != nil {
		return err
	}
	f := s.deskFrame(r, d, text.T(r.Context(), "Announcements"))
	f.Scripts = []string{"copy.js"}
	p := views.AnnouncementsPage{Frame: f, Desk: d.base, Draft: d.challenge.AnnouncedAt.IsZero(), Ahead: r.URL.Query().Get("ahead") != "",
		Shows: d.challenge.Shows(challenge.Public, s.db.Now())}
	if !p.Draft {
		p.Call = formsOf(theCall, s.callText(r, d.challenge))
	}
	if p.Shows.Results {
		x, err := s.db.Results(r.Context(), d.challenge)
		if err != nil {
			return err
		}
		p.Results = formsOf(theResults, s.resultsText(r, x))
	}
	if p.Ahead {
		x, err := s.db.Preview(r.Context(), d.actor, d.challenge)
		if err != nil {
			return err
		}
		p.Later = formsOf("", s.resultsText(r, x))
	}
	return s.ok(w, r, views.Announcements(p))
}

// announcementFile is an announcement in one form. What is not released yet
// has none.
func (s *Server) announcementFile(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.EditChallenge)
	if err != nil {
		return err
	}
	what, form, _ := strings.Cut(chi.URLParam(r, "file"), ".")
	var t announcement.Text
	switch {
	case what == theCall && !d.challenge.AnnouncedAt.IsZero():
		t = s.callText(r, d.challenge)
	case what == theResults && d.challenge.Shows(challenge.Public, s.db.Now()).Results:
		x, err := s.db.Results(r.Context(), d.challenge)
		if err != nil {
			return err
		}
		t = s.resultsText(r, x)
	default:
		return notFound(w, r)
	}
	for _, f := range formsOf(what, t) {
		if f.Suffix == form {
			attachment(w, d.challenge.Slug+"-"+what+"."+form, f.Kind)
			_, err := w.Write([]byte(f.Text))
			return err
		}
	}
	return notFound(w, r)
}

// formsOf writes a text in its three forms. An empty what has no files.
func formsOf(what string, t announcement.Text) []views.AnnouncementForm {
	forms := []views.AnnouncementForm{
		{Suffix: "txt", Kind: "text/plain; charset=utf-8", Name: wording.Key("Plain text"), Use: wording.Key("for the description of a video, or a chat"), Text: t.Plain()},
		{Suffix: "md", Kind: "text/markdown; charset=utf-8", Name: wording.Key("Markdown"), Use: wording.Key("for a post"), Text: t.Markdown()},
		{Suffix: "html", Kind: "text/html; charset=utf-8", Name: wording.Key("HTML"), Use: wording.Key("for a newsletter or a web page"), Text: t.HTML()},
	}
	for i := range forms {
		if what != "" {
			forms[i].File = what + "." + forms[i].Suffix
		}
		forms[i].ID = "announce-" + what + "-" + forms[i].Suffix
	}
	return forms
}

// callText asks for recipes.
func (s *Server) callText(r *http.Request, c challenge.Challenge) announcement.Text {
	v, page := text.From(r.Context()), site(r).PublicURL+"/c/"+c.Slug
	t := announcement.Text{Title: c.Title}
	t.Blocks = append(t.Blocks, own(c.Brief)...)
	if now := s.db.Now(); now.Before(c.ClosesAt) {
		t.AddList([][]announcement.Run{
			{announcement.Say(v.T("Entries open: %v", v.Moment(c.OpensAt)))},
			{announcement.Say(v.T("Entries close: %v", v.Moment(c.ClosesAt)))},
			{announcement.Say(v.T("Results: %v", v.Moment(c.ReleaseAt)))},
		})
	} else {
		t.Add(announcement.Paragraph, announcement.Say(v.T("Entries closed %v.", v.Moment(c.ClosesAt))))
	}
	t.Add(announcement.Paragraph, announcement.Link(v.T("Brief, rules and the form for your recipe"), page))
	return t
}

// own is what the host typed, nothing where that is empty.
func own(markdown string) []announcement.Block {
	if strings.TrimSpace(markdown) == "" {
		return nil
	}
	return []announcement.Block{{Kind: announcement.Own, Markdown: markdown, HTML: prose(markdown)}}
}

// resultsText tells what x holds, and nothing else.
func (s *Server) resultsText(r *http.Request, x store.Results) announcement.Text {
	a := results{ctx: r.Context(), x: x, page: site(r).PublicURL + "/c/" + x.Challenge.Slug}
	a.Title = a.t("Results: %v", x.Challenge.Title)
	for _, tell := range []func(){a.opening, a.final, a.drawn, a.verdicts, a.votes, a.finalists, a.added, a.links} {
		tell()
	}
	return a.Text
}

// A results is an announcement of results as it is written.
type results struct {
	announcement.Text
	ctx  context.Context
	x    store.Results
	page string
}

func (a *results) t(key string, args ...any) string { return text.T(a.ctx, key, args...) }

// say adds a paragraph of plain words.
func (a *results) say(words string) { a.Add(announcement.Paragraph, announcement.Say(words)) }

func (a *results) opening() {
	v := text.From(a.ctx)
	a.say(v.N(a.x.Challenge.Entries, "One recipe was sent in.", "%v recipes were sent in."))
	a.Blocks = append(a.Blocks, own(a.x.Challenge.HostWords)...)
}

func (a *results) final() {
	if len(a.x.Final) == 0 {
		return
	}
	a.Add(announcement.Heading, announcement.Say(a.t("Final result")))
	list, rank := announcement.Block{Kind: announcement.Ordered}, 1
	for _, level := range a.x.Final {
		for _, d := range level {
			list.Items, list.Places = append(list.Items, a.dish(d)), append(list.Places, rank)
		}
		rank += len(level)
	}
	a.Blocks = append(a.Blocks, list)
}

// dish is a dish on a line, with a link to its page where it has one.
func (a *results) dish(d store.PublicDish) []announcement.Run {
	name := announcement.Run{Words: views.PublicName(a.ctx, d), Strong: true}
	if d.Recipe {
		name = announcement.Link(name.Words, a.page+"/recipe/"+itoa(d.Number))
	}
	return []announcement.Run{name, announcement.Say(" (" + views.PublicUnder(a.ctx, d) + ")")}
}

func (a *results) drawn() {
	if a.x.Drawn == nil && len(a.x.Void) == 0 {
		return
	}
	a.Add(announcement.Heading, announcement.Say(a.t("Drawn")))
	if a.x.Drawn == nil {
		a.say(a.t("The draw was declared void. Nothing was drawn in it."))
		return
	}
	a.Add(announcement.Paragraph, a.dish(*a.x.Drawn)...)
	if a.x.Instead != nil {
		a.Add(announcement.Paragraph, append([]announcement.Run{announcement.Say(a.t("In its place:") + " ")}, a.dish(*a.x.Instead)...)...)
	}
	a.Add(announcement.Paragraph, announcement.Link(a.t("How it was drawn, and how to check it"), a.page+"/draw/"+itoa(a.x.DrawRound)))
}

func (a *results) verdicts() {
	for _, v := range a.x.Verdicts {
		a.Add(announcement.Heading, announcement.Say(a.t("Verdict")))
		for _, s := range v.Sentences {
			a.say(text.From(a.ctx).Tell(s))
		}
		told := map[int64]bool{}
		for _, q := range v.Quotes {
			if !told[q.Dish.ID] {
				told[q.Dish.ID] = true
				a.Add(announcement.Quote, announcement.Say(q.Text))
				a.say(a.t("On %v", views.PublicName(a.ctx, q.Dish)) + ": " + views.QuoteUnder(a.ctx, q))
			}
		}
	}
}

func (a *results) votes() {
	v := text.From(a.ctx)
	for _, x := range a.x.Votes {
		a.Add(announcement.Heading, announcement.Say(x.Round.Title))
		for _, s := range x.Sentences {
			a.say(text.From(a.ctx).Tell(s))
		}
		a.say(v.N(x.Ballots, "One ballot.", "%v ballots."))
	}
}

func (a *results) finalists() {
	if len(a.x.Finalists) == 0 {
		return
	}
	a.Add(announcement.Heading, announcement.Say(a.t("Finalists")))
	var lines [][]announcement.Run
	for _, d := range a.x.Finalists {
		lines = append(lines, a.dish(d))
	}
	a.AddList(lines)
}

func (a *results) added() {
	p := a.x.Added
	if p.VideoURL != "" {
		a.Add(announcement.Paragraph, announcement.Say(a.t("Video:")+" "), announcement.Link(orElse(p.VideoTitle, p.VideoURL), p.VideoURL))
	}
	switch {
	case p.Sponsor != "" && p.SponsorURL != "":
		a.Add(announcement.Paragraph, announcement.Say(a.t("Sponsor:")+" "), announcement.Link(p.Sponsor, p.SponsorURL))
	case p.Sponsor != "":
		a.say(a.t("Sponsor:") + " " + p.Sponsor)
	}
}

func orElse(s, otherwise string) string {
	if s == "" {
		return otherwise
	}
	return s
}

func (a *results) links() {
	a.Add(announcement.Paragraph, announcement.Link(a.t("All results and recipes"), a.page+"/results"))
}
