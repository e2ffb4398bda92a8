package web

import (
	"net/http"
	"strconv"
	"strings"
	"time"

	"fairladle/challenge"
	"fairladle/challenge/tasting"
	"fairladle/web/text"
	"fairladle/web/views"
)

// showNew offers a challenge with the usual dates: entries for two weeks,
// results three weeks after.
func (s *Server) showNew(w http.ResponseWriter, r *http.Request) error {
	if _, err := s.hostActor(r); err != nil {
		return err
	}
	day := s.db.Now().UTC().Truncate(24 * time.Hour)
	settings := challenge.Settings{Zone: "Europe/Berlin", OpensAt: day.Add(32 * time.Hour), ClosesAt: day.AddDate(0, 0, 15).Add(20 * time.Hour),
		Release: day.AddDate(0, 0, 36).Add(18 * time.Hour), EntriesPerPerson: 1, Photos: true,
		Kitchen: challenge.DefaultKitchen(), Criteria: usualCriteria(text.From(r.Context()))}
	return s.ok(w, r, views.Settings(views.SettingsPage{Frame: s.frame(r, text.T(r.Context(), "Start a challenge")), Settings: settings, Zones: zones}))
}

// usualCriteria are those of a new challenge, named in the host's language:
// from then on they are the host's own words.
func usualCriteria(v text.Voice) []tasting.Criterion {
	cs := challenge.DefaultCriteria()
	for i, c := range cs {
		cs[i].Name, cs[i].LowWord, cs[i].HighWord = v.T(c.Name), v.T(c.LowWord), v.T(c.HighWord)
	}
	return cs
}

// usualRun are the rounds of a new challenge, named in its language.
func usualRun(v text.Voice) []challenge.Round {
	run := challenge.UsualRun()
	for i, r := range run {
		run[i].Title = v.T(r.Title)
	}
	return run
}

func (s *Server) create(w http.ResponseWriter, r *http.Request) error {
	a, err := s.hostActor(r)
	if err != nil {
		return err
	}
	if err := parse(r); err != nil {
		return err
	}
	settings := readSettings(r)
	slug, err := s.db.CreateWithRun(r.Context(), a, settings, usualRun(s.challengeVoice(r, challenge.Challenge{Language: settings.Language})))
	if m, ok := refusals(err); ok {
		s.show(w, r, formStatus(err), views.Settings(views.SettingsPage{Frame: s.frame(r, text.T(r.Context(), "Start a challenge")), Settings: settings, Zones: zones, Messages: m}))
		return nil
	}
	if err != nil {
		return err
	}
	return to(w, r, "/host/c/"+slug+"?said=created")
}

func (s *Server) showSettings(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.EditChallenge)
	if err != nil {
		return err
	}
	return s.ok(w, r, views.Settings(s.settingsPage(r, d, d.challenge.Settings(), d.challenge.SettingsVersion)))
}

func (s *Server) settingsPage(r *http.Request, d desk, settings challenge.Settings, version int) views.SettingsPage {
	f := s.deskFrame(r, d, text.T(r.Context(), "Settings"))
	f.Said = said(r)
	return views.SettingsPage{Frame: f, Settings: settings, Zones: zones, Version: version,
		Announced: !d.challenge.AnnouncedAt.IsZero(), Locked: d.challenge.CriteriaLocked}
}

func (s *Server) saveSettings(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.EditChallenge)
	if err != nil {
		return err
	}
	if err := parse(r); err != nil {
		return err
	}
	settings := readSettings(r)
	if d.challenge.CriteriaLocked {
		settings.Criteria = d.challenge.Criteria
	}
	version := number(r, "version")
	err = s.db.ChangeSettings(r.Context(), d.actor, d.challenge.ID, version, settings)
	if m, ok := refusals(err); ok {
		p := s.settingsPage(r, d, settings, version)
		p.Messages = m
		s.show(w, r, formStatus(err), views.Settings(p))
		return nil
	}
	if err != nil {
		return err
	}
	return to(w, r, d.base+"/settings?said=saved")
}

// readKitchen reads the list of equipment, here and on the page of a service.
func readKitchen(r *http.Request) (list []challenge.Equipment) {
	for i := range views.KitchenRows {
		n := strconv.Itoa(i)
		if name := field(r, "kitchen-name-"+n); name != "" {
			list = append(list, challenge.Equipment{Name: name, Count: number(r, "kitchen-count-"+n), Holds: minutesOr0(r, "kitchen-holds-"+n)})
		}
	}
	return list
}

// readSettings decodes the form; what cannot be read stays zero and is refused
// by Settings.Check.
func readSettings(r *http.Request) challenge.Settings {
	zone := field(r, "zone")
	s := challenge.Settings{Title: field(r, "title"), Brief: challenge.KeptText(r.PostFormValue("brief")), Rules: challenge.KeptText(r.PostFormValue("rules")),
		Zone: zone, Language: field(r, "language"), OpensAt: moment(r, "opens_at", zone), ClosesAt: moment(r, "closes_at", zone), Release: moment(r, "release_at", zone),
		EntriesPerPerson: number(r, "entries_per_person"), Photos: ticked(r, "photos"), Prize: ticked(r, "prize"), Reason: field(r, "reason")}
	s.Kitchen = readKitchen(r)
	for i := range views.CriterionRows {
		n := strconv.Itoa(i)
		name := field(r, "criterion-name-"+n)
		if name == "" {
			continue
		}
		key := field(r, "criterion-key-"+n)
		if key == "" {
			key = freshKey(s.Criteria, name)
		}
		s.Criteria = append(s.Criteria, tasting.Criterion{Key: key, Name: name, Weight: number(r, "criterion-weight-"+n),
			Scale: readScale(r, n), LowWord: field(r, "criterion-low-"+n), HighWord: field(r, "criterion-high-"+n), NeedsTasting: ticked(r, "criterion-tasted-"+n)})
	}
	return s
}

// readScale decodes the scale of one criterion; one that cannot be read has no
// steps and is refused.
func readScale(r *http.Request, n string) tasting.Scale {
	switch kind := field(r, "criterion-scale-"+n); kind {
	case "", tasting.ScaleHalves:
		return tasting.Halves()
	case tasting.ScaleHedonic:
		return tasting.Hedonic9()
	case tasting.ScaleOwn:
		own := tasting.Scale{Kind: kind}
		for name, at := range map[string]*tasting.Points{"min": &own.Min, "max": &own.Max, "step": &own.Step} {
			p, err := tasting.ParsePoints(field(r, "criterion-"+name+"-"+n))
			if err != nil {
				return tasting.Scale{Kind: kind}
			}
			*at = p
		}
		return own
	default:
		return tasting.Scale{Kind: kind}
	}
}

// freshKey makes a criterion's key from its name, unlike those before it.
func freshKey(cs []tasting.Criterion, name string) string {
	key := challenge.Slug(name)
	for n := 2; ; n++ {
		taken := false
		for _, c := range cs {
			taken = taken || c.Key == key
		}
		if !taken {
			return key
		}
		key = strings.TrimRight(key, "-0123456789") + "-" + strconv.Itoa(n)
	}
}

func (s *Server) announce(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.EditChallenge)
	if err != nil {
		return err
	}
	if err := s.db.Announce(r.Context(), d.actor, d.challenge.ID); err != nil {
		return err
	}
	return to(w, r, d.base+"?said=announced")
}

// zones are the time zones offered; any other IANA name can be typed.
var zones = []string{"UTC", "Europe/London", "Europe/Dublin", "Europe/Lisbon", "Europe/Berlin", "Europe/Paris", "Europe/Rome", "Europe/Madrid",
	"Europe/Amsterdam", "Europe/Vienna", "Europe/Zurich", "Europe/Warsaw", "Europe/Stockholm", "Europe/Helsinki", "Europe/Athens", "Europe/Istanbul",
	"America/New_York", "America/Chicago", "America/Denver", "America/Phoenix", "America/Los_Angeles", "America/Toronto", "America/Vancouver",
	"America/Halifax", "America/Mexico_City", "America/Bogota", "America/Sao_Paulo", "America/Argentina/Buenos_Aires", "Africa/Cairo", "Africa/Lagos",
	"Africa/Nairobi", "Africa/Johannesburg", "Asia/Jerusalem", "Asia/Dubai", "Asia/Kolkata", "Asia/Bangkok", "Asia/Singapore", "Asia/Hong_Kong",
	"Asia/Tokyo", "Asia/Seoul", "Australia/Perth", "Australia/Brisbane", "Australia/Sydney", "Pacific/Auckland"}
