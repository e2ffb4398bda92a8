package main

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"text/tabwriter"
	"time"

	"fairladle/challenge"
	"fairladle/cmd/fairladle/demo"
	"fairladle/store"
)

// benchCommand measures what the machine does with this program, each row
// against a bare equivalent in the same run, and prints one table.
func benchCommand(ctx context.Context, args []string, out io.Writer) error {
	f := flags("bench", out)
	dir := f.String("dir", "", "folder for what is made; otherwise a temporary one. What is there already is used again")
	many := f.Int("entries", 100_000, "entries of the large challenge; the small one has a hundredth")
	only := f.String("only", "", "rows to measure, with commas: page, list, entries, ballots, memory, start, growth")
	seconds := f.Int("seconds", 5, "how long each load lasts")
	bare := f.String("bare", "", "serve only this file, as the bare handler does")
	if err := f.Parse(args); err != nil {
		return err
	}
	if *bare != "" {
		return serveBare(ctx, *bare, out)
	}
	if *many < 1000 || *seconds < 1 {
		return errors.New("measure with at least 1,000 entries and 1 second")
	}
	if *dir == "" {
		temp, err := os.MkdirTemp("", "fairladle-bench-")
		if err != nil {
			return err
		}
		defer os.RemoveAll(temp)
		*dir = temp
	}
	b := &bench{dir: *dir, many: *many, load: time.Duration(*seconds) * time.Second, only: *only, out: out}
	return b.all(ctx)
}

type bench struct {
	dir, only string
	many      int
	load      time.Duration
	out       io.Writer
	rows      [][]string
}

func (b *bench) wants(row string) bool {
	return b.only == "" || strings.Contains(","+b.only+",", ","+row+",")
}

func (b *bench) row(what, measured, against, reach string, held bool) {
	verdict := "held"
	if !held {
		verdict = "MISSED"
	}
	b.rows = append(b.rows, []string{what, measured, against, reach, verdict})
	fmt.Fprintf(b.out, "  %s: %s, %s (reach %s): %s\n", what, measured, against, reach, verdict)
}

func (b *bench) all(ctx context.Context) error {
	load, _ := os.ReadFile("/proc/loadavg")
	fmt.Fprintf(b.out, "Load of the machine before: %s\n", strings.TrimSpace(string(load)))
	for _, part := range []struct {
		rows string
		run  func(context.Context) error
	}{{"page,entries,ballots", b.small}, {"list", b.list}, {"start,memory,growth", b.large}} {
		wanted := false
		for row := range strings.SplitSeq(part.rows, ",") {
			wanted = wanted || b.wants(row)
		}
		if !wanted {
			continue
		}
		if err := part.run(ctx); err != nil {
			return err
		}
	}
	t := tabwriter.NewWriter(b.out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(b.out)
	fmt.Fprintln(t, "what\tmeasured\tagainst\treach\t")
	for _, r := range b.rows {
		fmt.Fprintln(t, strings.Join(r, "\t"))
	}
	return t.Flush()
}

// A made site is a data folder with what a row needs.
type made struct {
	dir   string
	entry string // the path of one entrant's own page
}

// stocked makes a data folder with one challenge of n entries, closed, whose
// only round is a draw among all of them that has begun.
func (b *bench) stocked(ctx context.Context, n int) (m made, err error) {
	m.dir = filepath.Join(b.dir, fmt.Sprintf("entries-%d", n))
	marker := filepath.Join(m.dir, "ready")
	if text, err := os.ReadFile(marker); err == nil {
		m.entry = string(text)
		return m, nil
	}
	fmt.Fprintf(b.out, "Making a challenge of %d entries ...\n", n)
	err = b.filled(ctx, m.dir, func(f *filling) error {
		f.at(-20 * 24 * time.Hour)
		c, err := f.benchChallenge(ctx, "Stock", -19*24*time.Hour, -24*time.Hour, challenge.Draw)
		if err != nil {
			return err
		}
		f.at(-18 * 24 * time.Hour)
		token, err := f.benchEntries(ctx, c, 40)
		if err != nil {
			return err
		}
		m.entry = "/entry/" + token
		if err := f.db.Stock(ctx, c.ID, n); err != nil {
			return err
		}
		f.at(-23 * time.Hour)
		if err := f.db.CloseDue(ctx); err != nil {
			return err
		}
		return f.db.OpenRound(ctx, f.host, c.ID, c.Rounds[0].ID)
	})
	if err != nil {
		return m, err
	}
	return m, os.WriteFile(marker, []byte(m.entry), 0o600)
}

// filled opens a new data folder, sets it up, and closes it when fill is done.
func (b *bench) filled(ctx context.Context, dir string, fill func(*filling) error) (err error) {
	if err := os.RemoveAll(dir); err != nil {
		return err
	}
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return err
	}
	c := &clock{}
	db, err := store.Open(ctx, filepath.Join(dir, "fairladle.db"), store.Options{Now: c.now, Random: rand.Reader})
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	story, err := demo.Load()
	if err != nil {
		return err
	}
	f := newFilling(db, c, story, "http://127.0.0.1")
	if err := f.setUp(ctx); err != nil {
		return err
	}
	return fill(f)
}

// benchChallenge announces a challenge with rounds of the kinds alone.
func (f *filling) benchChallenge(ctx context.Context, title string, opens, closes time.Duration, kinds ...challenge.Kind) (challenge.Challenge, error) {
	s := f.settings(f.story.Challenges[0])
	s.Title, s.OpensAt, s.ClosesAt, s.Release = title, f.started.Add(opens), f.started.Add(closes), f.started.Add(closes+90*24*time.Hour)
	slug, err := f.db.CreateChallenge(ctx, f.host, s)
	if err != nil {
		return challenge.Challenge{}, err
	}
	c, err := f.db.ChallengeBySlug(ctx, slug)
	if err != nil {
		return c, err
	}
	for i := len(c.Rounds) - 1; i >= 0; i-- {
		if err := f.db.RemoveRound(ctx, f.host, c.ID, c.Rounds[i].ID); err != nil {
			return c, err
		}
	}
	for _, k := range kinds {
		if err := f.db.AddRound(ctx, f.host, c.ID, k); err != nil {
			return c, err
		}
	}
	if err := f.db.Announce(ctx, f.host, c.ID); err != nil {
		return c, err
	}
	return f.db.ChallengeBySlug(ctx, slug)
}

// benchTexts are recipes of the demonstration.
func (f *filling) benchTexts() (texts []string) {
	for _, c := range f.story.Challenges {
		for _, e := range c.Entries {
			if e.Odd == "" {
				texts = append(texts, e.Text)
			}
		}
	}
	return texts
}

// benchEntries sends one entry of each text, at most most of them, and returns
// the token of the first.
func (f *filling) benchEntries(ctx context.Context, c challenge.Challenge, most int) (first string, err error) {
	texts := f.benchTexts()
	for i, text := range texts[:min(most, len(texts))] {
		_, token, err := f.db.Submit(ctx, c.ID, "", challenge.Submission{Name: fmt.Sprintf("Model %d", i), Email: fmt.Sprintf("model%d@example.net", i), Text: text,
			Origin: challenge.OriginOwn, Consents: map[challenge.ConsentKind]bool{challenge.Considered: true, challenge.OfAge: true, challenge.Published: true, challenge.Filmed: true}}, "", nil)
		if err != nil {
			return "", err
		}
		if first == "" {
			first = token
		}
	}
	_, err = f.db.RunJobs(ctx)
	return first, err
}
