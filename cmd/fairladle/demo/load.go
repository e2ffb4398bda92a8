package demo

import (
	"embed"
	"encoding/json"
	"fmt"
	"io/fs"
	"path"
	"time"
)

//go:embed data
var data embed.FS

// Load reads the embedded scenario. It fails only if the data files are
// damaged, and then says which.
func Load() (Scenario, error) {
	files, err := fs.Sub(data, "data")
	if err != nil {
		return Scenario{}, fmt.Errorf("demo: %w", err)
	}
	return load(files)
}

func load(files fs.FS) (Scenario, error) {
	raw, err := fs.ReadFile(files, "community.json")
	if err != nil {
		return Scenario{}, fmt.Errorf("demo: %w", err)
	}
	var c community
	if err := json.Unmarshal(raw, &c); err != nil {
		return Scenario{}, fmt.Errorf("demo: community.json: %w", err)
	}
	s := c.Scenario
	s.Challenges = nil
	for _, h := range c.Challenges {
		ch, err := h.load(files)
		if err != nil {
			return Scenario{}, fmt.Errorf("demo: %s: %w", h.Slug, err)
		}
		s.Challenges = append(s.Challenges, ch)
	}
	return s, nil
}

// community is the form of community.json.
type community struct {
	Scenario
	Challenges []heading
}

type heading struct {
	Slug, Title      string
	Stage            Stage
	OpensDays        float64 `json:"opens_days"`
	ClosesDays       float64 `json:"closes_days"`
	ReleaseDays      float64 `json:"release_days"`
	EntriesPerPerson int     `json:"entries_per_person"`
	Photo            bool
	Criteria         []Criterion
	Ballots          Ballots
}

func days(d float64) time.Duration { return time.Duration(d * float64(24*time.Hour)) }

func (h heading) load(files fs.FS) (Challenge, error) {
	c := Challenge{
		Slug: h.Slug, Title: h.Title, Stage: h.Stage,
		Opens: days(h.OpensDays), Closes: days(h.ClosesDays), Release: days(h.ReleaseDays),
		EntriesPerPerson: h.EntriesPerPerson, Photos: h.Photo, Criteria: h.Criteria, Ballots: h.Ballots,
	}
	dir := path.Join("challenges", h.Slug)
	for name, into := range map[string]*string{"brief.md": &c.Brief, "rules.md": &c.Rules} {
		b, err := fs.ReadFile(files, path.Join(dir, name))
		if err != nil {
			return c, err
		}
		*into = string(b)
	}
	var err error
	if c.House, err = houseDishes(files, h.Slug); err != nil {
		return c, err
	}
	if c.Entries, err = entries(files, c); err != nil {
		return c, err
	}
	return c, c.tables(files, dir)
}
