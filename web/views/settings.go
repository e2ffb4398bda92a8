package views

import (
	"strconv"
	"time"

	"fairladle/challenge"
	"fairladle/challenge/tasting"
)

// Rows of a settings form: what is there, and room for more.
const (
	KitchenRows   = 12
	CriterionRows = 8
)

type SettingsPage struct {
	Frame     Frame
	Messages  Messages
	Settings  challenge.Settings
	Zones     []string
	Version   int // 0 for a new challenge
	Announced bool
	Locked    bool // criteria
}

// fresh says that this is the form of a new challenge, as it is first shown:
// few questions, and the rest filled in.
func (p SettingsPage) fresh() bool { return p.Version == 0 && len(p.Messages) == 0 }

// local writes a moment for <input type="datetime-local"> in the page's zone.
func (p SettingsPage) local(at time.Time) string {
	if at.IsZero() {
		return ""
	}
	loc, err := time.LoadLocation(p.Settings.Zone)
	if err != nil {
		loc = time.UTC
	}
	return at.In(loc).Format("2006-01-02T15:04")
}

func (p SettingsPage) kitchen(i int) (name, count string) {
	if i < len(p.Settings.Kitchen) {
		return p.Settings.Kitchen[i].Name, strconv.Itoa(p.Settings.Kitchen[i].Count)
	}
	return "", ""
}

func (p SettingsPage) kitchenName(i int) string  { n, _ := p.kitchen(i); return n }
func (p SettingsPage) kitchenCount(i int) string { _, c := p.kitchen(i); return c }

func (p SettingsPage) kitchenHolds(i int) string {
	if i < len(p.Settings.Kitchen) {
		return holdsField(p.Settings.Kitchen[i].Holds)
	}
	return ""
}

func (p SettingsPage) criterion(i int) tasting.Criterion {
	if i < len(p.Settings.Criteria) {
		return p.Settings.Criteria[i]
	}
	return tasting.Criterion{}
}

func weightText(w int) string {
	if w == 0 {
		return ""
	}
	return strconv.Itoa(w)
}
