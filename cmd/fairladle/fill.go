package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"slices"
	"time"

	"fairladle/challenge"
	"fairladle/challenge/ballot"
	"fairladle/challenge/draw"
	"fairladle/challenge/tasting"
	"fairladle/cmd/fairladle/demo"
	"fairladle/store"
	"fairladle/web"
	"fairladle/web/photo"
)

// demoPassword is printed with the links; the demonstration holds no secrets.
const demoPassword = "the serving hatch"

// filling lives the invented season through the store's own methods, at the
// times it would have happened.
type filling struct {
	db      *store.DB
	clock   *clock
	story   demo.Scenario
	base    string
	started time.Time
	host    challenge.Actor
	photos  *photo.Cleaner
	links   []namedLink
}

type namedLink struct{ who, address string }

func newFilling(db *store.DB, c *clock, story demo.Scenario, base string) *filling {
	return &filling{db: db, clock: c, story: story, base: base, started: lastEvening(time.Now()), photos: photo.NewCleaner(2)}
}

// lastEvening is the last eight o'clock (UTC) before now: an hour at which
// people set closing times.
func lastEvening(now time.Time) time.Time {
	t := now.UTC().Truncate(24 * time.Hour).Add(20 * time.Hour)
	if t.After(now) {
		t = t.Add(-24 * time.Hour)
	}
	return t
}

// at moves the clock to a distance from the start.
func (f *filling) at(d time.Duration) { f.clock.at(f.started.Add(d)) }

func (f *filling) all(ctx context.Context) error {
	if err := f.setUp(ctx); err != nil {
		return err
	}
	order := slices.Clone(f.story.Challenges)
	slices.SortStableFunc(order, func(a, b demo.Challenge) int { return int((a.Opens - b.Opens) / time.Hour) })
	for _, c := range order {
		if err := f.challenge(ctx, c); err != nil {
			return fmt.Errorf("%s: %w", c.Slug, err)
		}
	}
	f.clock.real()
	_, err := f.db.RunJobs(ctx)
	return err
}

// setUp makes the site and its host.
func (f *filling) setUp(ctx context.Context) error {
	f.at(-400 * 24 * time.Hour)
	token, err := f.db.SetUpLink(ctx)
	if err != nil {
		return err
	}
	host, err := f.db.SetUpSite(ctx, token, store.SetUp{SiteName: f.story.Name, PublicURL: f.base, Language: "en",
		Name: f.story.Host.Name, Email: f.story.Host.Email, PasswordHash: web.HashPassword(demoPassword)})
	if err != nil {
		return err
	}
	f.host = challenge.Actor{Role: challenge.Host, ID: host}
	return nil
}

func (f *filling) tell(out io.Writer) {
	fmt.Fprintf(out, "\n%s is open at %s\n\n", f.story.Name, f.base)
	fmt.Fprintf(out, "  %-34s %s/login\n  %-34s %s / %s\n", "host: sign in at", f.base, "  with", f.story.Host.Email, demoPassword)
	for _, l := range f.links {
		fmt.Fprintf(out, "  %-34s %s\n", l.who, l.address)
	}
	fmt.Fprintln(out, "\nEverything is invented and lives in a temporary folder. Stop with Ctrl-C.")
}

// reached says how far each stage of the demonstration has come: which rounds
// have been opened, and which closed.
func reached(s demo.Stage) (opened, closed int) {
	switch s {
	case demo.Reading:
		return 1, 0
	case demo.Pick:
		return 2, 1
	case demo.ReadyToDraw:
		return 2, 2
	case demo.Tasting:
		return 5, 4
	case demo.Released:
		return 6, 6
	}
	return 0, 0
}

func (f *filling) challenge(ctx context.Context, d demo.Challenge) error {
	f.at(min(d.Opens, -time.Hour) - 24*time.Hour)
	slug, err := f.db.CreateChallenge(ctx, f.host, f.settings(d))
	if err != nil || d.Stage == demo.Draft {
		return err
	}
	c, err := f.db.ChallengeBySlug(ctx, slug)
	if err != nil {
		return err
	}
	if err := f.db.Announce(ctx, f.host, c.ID); err != nil {
		return err
	}
	if err := f.entries(ctx, c, d); err != nil {
		return err
	}
	return f.rounds(ctx, c.ID, d)
}

func (f *filling) settings(d demo.Challenge) challenge.Settings {
	release := d.Release
	if release == 0 {
		release = max(d.Closes, 0) + 21*24*time.Hour
	}
	s := challenge.Settings{Title: d.Title, Brief: d.Brief, Rules: d.Rules, Zone: f.story.Zone, OpensAt: f.started.Add(d.Opens), ClosesAt: f.started.Add(d.Closes),
		Release: f.started.Add(release), EntriesPerPerson: d.EntriesPerPerson, Photos: d.Photos}
	for _, k := range f.story.Kitchen {
		s.Kitchen = append(s.Kitchen, challenge.Equipment{Name: k.Name, Count: k.Count})
	}
	for _, c := range d.Criteria {
		s.Criteria = append(s.Criteria, tasting.Criterion{Key: challenge.Slug(c.Name), Name: c.Name, Weight: c.Weight, Scale: tasting.Halves(), LowWord: c.Low, HighWord: c.High})
	}
	return s
}

func (f *filling) entries(ctx context.Context, c challenge.Challenge, d demo.Challenge) error {
	for i, e := range d.Entries {
		f.at(e.Sent)
		sum, err := f.photo(ctx, e)
		if err != nil {
			return err
		}
		s := challenge.Submission{Name: e.Name, Spoken: e.Spoken, Credit: e.Credit, Email: e.Email, Text: e.Text,
			Origin: challenge.Origin(e.Origin), OriginNote: e.OriginOf, Consents: map[challenge.ConsentKind]bool{}}
		for _, k := range e.Consents {
			s.Consents[challenge.ConsentKind(k)] = true
		}
		number, token, err := f.db.Submit(ctx, c.ID, "", s, sum, nil)
		if err != nil {
			return fmt.Errorf("entry %s: %w", e.Slug, err)
		}
		if i == 0 && (d.Stage == demo.Open || d.Stage == demo.Released) {
			f.links = append(f.links, namedLink{fmt.Sprintf("entrant, No. %d of %q", number, d.Title), f.base + "/entry/" + token})
		}
	}
	return nil
}

func (f *filling) photo(ctx context.Context, e demo.Entry) (string, error) {
	raw, err := e.Photo()
	if err != nil || raw == nil {
		return "", err
	}
	p, err := f.photos.Clean(ctx, bytes.NewReader(raw))
	if err != nil {
		return "", err
	}
	return f.db.AddPhoto(ctx, store.Photo{Width: p.Width, Height: p.Height, MIME: p.MIME, Large: p.Bytes, Thumb: p.Thumb})
}

// rounds lives through the rounds that the stage has reached.
func (f *filling) rounds(ctx context.Context, id int64, d demo.Challenge) error {
	r := &rehearsed{filling: f, id: id, story: d}
	opened, closed := reached(d.Stage)
	if opened > 0 {
		if err := r.invite(ctx); err != nil {
			return err
		}
	}
	steps := []func(context.Context, challenge.Round) error{r.read, r.pick, r.draw, r.cook, r.taste, r.vote}
	for i := range opened {
		if err := r.round(ctx, i, i < closed, steps[i]); err != nil {
			return err
		}
	}
	return nil
}

// rehearsed is one challenge of the story on its way through the rounds.
type rehearsed struct {
	*filling
	id      int64
	story   demo.Challenge
	cohost  challenge.Actor
	readers map[string]challenge.Actor
	judges  map[string]challenge.Actor
	days    time.Duration
}

// pass lets days go by after the closing, never beyond the present.
func (r *rehearsed) pass(hours time.Duration) {
	r.days += hours * time.Hour
	r.at(min(r.story.Closes+r.days, -time.Minute))
}

func (r *rehearsed) round(ctx context.Context, i int, close bool, live func(context.Context, challenge.Round) error) error {
	r.pass(6)
	c, err := r.db.Challenge(ctx, r.id)
	if err != nil {
		return err
	}
	round := c.Rounds[i]
	if round.Kind == challenge.Vote {
		r.at(r.story.Release + time.Hour)
	}
	if err := r.db.OpenRound(ctx, r.host, r.id, round.ID); err != nil {
		return err
	}
	if err := live(ctx, round); err != nil || !close {
		return err
	}
	if _, err := r.db.CloseRound(ctx, r.host, r.id, round.ID); err != nil {
		return fmt.Errorf("close %s: %w", round.Title, err)
	}
	return nil
}

// invite makes the links of everyone who takes part.
func (r *rehearsed) invite(ctx context.Context) error {
	r.pass(1)
	var err error
	if r.cohost, err = r.invited(ctx, challenge.Cohost, r.filling.story.Cohost); err != nil {
		return err
	}
	r.readers, r.judges = map[string]challenge.Actor{}, map[string]challenge.Actor{}
	for _, p := range r.filling.story.Readers {
		if r.readers[p.Key], err = r.invited(ctx, challenge.Reader, p); err != nil {
			return err
		}
	}
	for _, p := range r.filling.story.Judges {
		if r.judges[p.Key], err = r.invited(ctx, challenge.Judge, p); err != nil {
			return err
		}
	}
	return nil
}

// invited makes a participant, and prints the link of those with something to
// do now.
func (r *rehearsed) invited(ctx context.Context, role challenge.Role, p demo.Person) (challenge.Actor, error) {
	token, err := r.db.Invite(ctx, r.host, r.id, role, p.Name, "")
	if err != nil {
		return challenge.Actor{}, err
	}
	link, err := r.db.FollowLink(ctx, store.Purpose(role), token)
	if err != nil {
		return challenge.Actor{}, err
	}
	busy := map[demo.Stage]challenge.Role{demo.Reading: challenge.Reader, demo.Pick: challenge.Cohost, demo.Tasting: challenge.Judge}
	if busy[r.story.Stage] == role {
		r.links = append(r.links, namedLink{fmt.Sprintf("%s %s", role, p.Name), r.base + "/with/" + string(role) + "/" + token})
	}
	return link.Actor(), nil
}

func (r *rehearsed) read(ctx context.Context, round challenge.Round) error {
	verdicts := map[string]string{"keep": "keep", "maybe": "maybe", "leave out": "out"}
	for _, m := range r.story.Marks {
		dish, err := r.db.EntryByNumber(ctx, r.id, m.Entry)
		if err != nil {
			return err
		}
		actor, ok := r.readers[m.Reader]
		if !ok {
			actor = r.cohost
		}
		if m.Reader == r.filling.story.Host.Key {
			actor = r.host
		}
		if err := r.db.Mark(ctx, actor, r.id, round.ID, store.Mark{Dish: dish, Mark: verdicts[m.Verdict], Note: m.Note}); err != nil {
			return err
		}
	}
	return r.ensureThrough(ctx, round)
}

// ensureThrough puts the finalists of the story on the shortlist by hand where
// the marks alone would not.
func (r *rehearsed) ensureThrough(ctx context.Context, round challenge.Round) error {
	if _, closed := reached(r.story.Stage); closed == 0 {
		return nil
	}
	var finalists []store.Choice
	for _, p := range r.story.Picks {
		dish, err := r.db.EntryByNumber(ctx, r.id, p.Entry)
		if err != nil {
			return err
		}
		finalists = append(finalists, store.Choice{Dish: dish, Chosen: true, Reason: "Level at the cut; it answers the theme."})
	}
	return r.db.MoveByHand(ctx, r.host, r.id, round.ID, finalists)
}

func (r *rehearsed) pick(ctx context.Context, round challenge.Round) error {
	if r.story.Stage == demo.Pick {
		return nil
	}
	for i, p := range r.story.Picks {
		if i == round.Params.Keep {
			break
		}
		dish, err := r.db.EntryByNumber(ctx, r.id, p.Entry)
		if err != nil {
			return err
		}
		if err := r.db.Choose(ctx, r.cohost, r.id, round.ID, store.Choice{Dish: dish, Chosen: true, Reason: p.Reason}); err != nil {
			return err
		}
	}
	return r.db.SealPick(ctx, r.cohost, r.id, round.ID)
}

// draw rolls until every place is filled: the faces are invented, the record
// of them is real.
func (r *rehearsed) draw(ctx context.Context, round challenge.Round) error {
	for _, face := range []int{13, 4, 17, 9} {
		d, err := r.db.DrawState(ctx, round.ID)
		if err != nil || d.State.Done {
			return err
		}
		e := draw.Event{N: d.State.Next, Kind: draw.Rolled, Place: d.State.Place, Dice: []int{face}}
		if err := r.db.DrawEvent(ctx, r.host, r.id, round.ID, e); err != nil {
			return err
		}
	}
	return nil
}

func (r *rehearsed) cook(ctx context.Context, round challenge.Round) error {
	if err := r.cookingDay(); err != nil {
		return err
	}
	var cook string
	for _, h := range r.story.House {
		cook = r.person(h.Cook)
		id, err := r.db.SaveHouseDish(ctx, r.host, r.id, 0, cook, h.Text)
		if err != nil {
			return err
		}
		if err := r.db.AddPlate(ctx, r.host, r.id, id, store.Plate{Cook: cook, Kitchen: "Studio kitchen", CookedOn: r.clock.now().Format(time.DateOnly)}); err != nil {
			return err
		}
	}
	plates, err := r.db.Plates(ctx, r.id)
	if err != nil {
		return err
	}
	for _, p := range plates {
		if p.Cook == "" {
			p.Cook, p.Kitchen, p.CookedOn = cook, "Studio kitchen", r.clock.now().Format(time.DateOnly)
			if err := r.db.SavePlate(ctx, r.host, r.id, p); err != nil {
				return err
			}
		}
	}
	return r.serve(ctx, round, cook)
}

// person is the name behind a key of the story.
func (r *rehearsed) person(key string) string {
	s := r.filling.story
	for _, p := range slices.Concat([]demo.Person{s.Host, s.Cohost}, s.Readers, s.Judges) {
		if p.Key == key {
			return p.Name
		}
	}
	return s.Host.Name
}

func (r *rehearsed) taste(ctx context.Context, round challenge.Round) error {
	c, err := r.db.Challenge(ctx, r.id)
	if err != nil {
		return err
	}
	plates, err := r.db.TastingPlates(ctx, round.ID)
	if err != nil {
		return err
	}
	for _, s := range r.story.Sheets {
		judge, ok := r.judges[s.Judge]
		if !ok {
			continue
		}
		for _, p := range plates {
			if p.Dish.Number != s.Entry {
				continue
			}
			if err := r.db.SaveSheet(ctx, judge, r.id, round.ID, p.ID, 0, answersOf(c, s), true); err != nil {
				return err
			}
		}
	}
	return nil
}

func answersOf(c challenge.Challenge, s demo.Sheet) store.Answers {
	ans := store.Answers{Scores: map[string]tasting.Points{}, Comments: map[string]store.Comment{}}
	for i, crit := range c.Criteria {
		ans.Scores[crit.Key] = tasting.Points(s.Scores[i] * 100)
	}
	if s.Comment != "" {
		ans.Comments[c.Criteria[0].Key] = store.Comment{Text: s.Comment, Quotable: true}
	}
	return ans
}

func (r *rehearsed) vote(ctx context.Context, round challenge.Round) error {
	dishes, err := r.db.DishesIn(ctx, round.ID)
	if err != nil {
		return err
	}
	for _, d := range dishes {
		votes := r.story.Ballots.House
		if d.Kind == "entry" {
			votes = r.story.Ballots.Entry
		}
		for range votes {
			pass, err := r.db.NewToken()
			if err != nil {
				return err
			}
			slip, err := r.db.NewToken()
			if err != nil {
				return err
			}
			if err := r.db.CastBallot(ctx, r.id, round.ID, pass, slip, ballot.Ballot{d.ID}); err != nil {
				return err
			}
		}
	}
	r.at(min(r.story.Release+time.Hour+time.Duration(round.Params.VoteHours+1)*time.Hour, -time.Minute))
	return nil
}
