package draw

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"fairladle/challenge/ledger"
)

// forged are records around which the whole ledger was built anew with the
// right key, so that only the one rule named is broken.
var forged = []struct {
	of, rule string
	change   func(r *Record)
}{
	// The list.
	{"dice, two finalists", "a number twice", func(r *Record) { r.Roster[0].Number = 42; refreeze(r) }},
	{"dice, two finalists", "no ticket", func(r *Record) { r.Roster[0].Weight = 0; refreeze(r) }},
	{"dice, two finalists", "another root", func(r *Record) { r.Plan.Roster.Root[3]++ }},
	{"dice, two finalists", "another count", func(r *Record) { r.Plan.Roster.Entries++ }},
	{"dice, two finalists", "other tickets", func(r *Record) { r.Plan.Roster.Tickets++ }},
	{"dice, two finalists", "a rehearsal on the real list", func(r *Record) { r.Plan.Rehearsal = true }},
	{"rehearsal", "a made-up list that decides", func(r *Record) { r.Plan.Rehearsal = false }},
	// The plan.
	{"dice, two finalists", "more places than entries", func(r *Record) { r.Plan.Places = 3 }},
	{"dice, two finalists", "announced too late", func(r *Record) { r.Plan.AnnouncedAt = moment(11) }},
	{"dice, two finalists", "said too late", func(r *Record) { r.Plan.Announcements[0].At = moment(11) }},
	{"dice, two finalists", "said nothing", func(r *Record) { r.Plan.Announcements[0].What = "" }},
	{"dice, two finalists", "two lines", func(r *Record) { r.Plan.Challenge = "a\nb" }},
	{"dice, two finalists", "a C1 control character", func(r *Record) { r.Plan.Challenge = "a\u0085b" }},
	{"dice, two finalists", "a die with one face", func(r *Record) { r.Plan.Dice.Faces[0] = 1 }},
	{"dice, two finalists", "no die", func(r *Record) { r.Plan.Dice.Faces = []int{} }},
	{"dice, two finalists", "another method", func(r *Record) { r.Plan.Method = ByPublics }},
	{"dice, two finalists", "a fallback for dice", func(r *Record) { r.Plan.Fallback = &Dice{Faces: []int{6}} }},
	{"seeds, whole order", "no fallback and no later value", func(r *Record) { r.Plan.Fallback = nil }},
	{"seeds, later value", "both", func(r *Record) { r.Plan.Fallback = &Dice{Faces: []int{6}} }},
	{"seeds, later value", "a value that is not later", func(r *Record) { r.Plan.Seeds.Later.At = moment(60) }},
	{"seeds, later value", "a value with little surprise", func(r *Record) { r.Plan.Seeds.Later.Bits = 19 }},
	{"seeds, later value", "a lottery that boasts", func(r *Record) { r.Plan.Seeds.Later.Bits = 24 }},
	{"seeds, whole order", "a party twice", func(r *Record) { r.Plan.Seeds.Parties[2] = "host" }},
	{"seeds, whole order", "reveals before commitments", func(r *Record) { r.Plan.Seeds.CommitBy = moment(60) }},
	{"seeds, whole order", "frozen after the reveals", func(r *Record) { r.Plan.FrozenAt = moment(60) }},
	{"public sources", "a source known before", func(r *Record) { r.Plan.Sources[0].At = moment(10) }},
	{"public sources", "kept too long", func(r *Record) { r.Plan.ReleaseAt = moment(81) }},
	{"public sources", "too little surprise", func(r *Record) { r.Plan.Sources[1].Bits, r.Plan.Sources[2].Bits = 1, 1 }},
	{"public sources", "more than MD5 holds", func(r *Record) { r.Plan.Places = 25; r.Plan.Sources[0].Bits = 128 }},
	{"public sources", "weights", func(r *Record) { r.Roster[0].Weight = 2; refreeze(r) }},
	{"public sources", "bounds upside down", func(r *Record) { r.Plan.Sources[1].Low = 41 }},
	{"public sources", "two texts", func(r *Record) { r.Plan.Sources[0].Form, r.Plan.Sources[0].Count = Text, 2 }},
	// The events.
	{"dice, two finalists", "a die that shows 21", func(r *Record) { r.Events[0].Dice[0] = 21 }},
	{"dice, two finalists", "a die that shows 0", func(r *Record) { r.Events[0].Dice[0] = 0 }},
	{"dice, two finalists", "two dice", func(r *Record) { r.Events[0].Dice = []int{13, 1} }},
	{"dice, two finalists", "rolled too early", func(r *Record) { r.Events[0].At = moment(9) }},
	{"dice, two finalists", "rolled for another place", func(r *Record) { r.Events[0].Place = 2 }},
	{"dice, two finalists", "confirmed by oneself", func(r *Record) { r.Events[1].By = "host" }},
	{"dice, two finalists", "confirmed another roll", func(r *Record) { r.Events[1].Roll = 2 }},
	{"dice, two finalists", "a number left out", func(r *Record) { r.Events[1].N = 3 }},
	{"dice, two finalists", "rolled on", func(r *Record) { r.Events[1] = rollEvent(2, 1, 3) }},
	{"dice, two finalists", "void after the result", func(r *Record) {
		r.Events[1] = Event{N: 2, Kind: Voided, At: moment(30), By: "host", Reason: "second thoughts"}
		r.Void, r.Result = true, nil
	}},
	{"dice, two finalists", "a member of another kind", func(r *Record) { r.Events[0].Reason = "because" }},
	{"dice, two finalists", "an unknown kind", func(r *Record) { r.Events[0].Kind = "wish" }},
	{"dice, void", "rolled after void", func(r *Record) { r.Events = append(r.Events, rollEvent(2, 1, 3)) }},
	{"seeds, whole order", "committed too late", func(r *Record) { r.Events[2].At = moment(31) }},
	{"seeds, whole order", "an unknown party", func(r *Record) { r.Events[2].Party = "guest" }},
	{"seeds, whole order", "revealed too early", func(r *Record) { r.Events[3].At = moment(9) }},
	{"seeds, whole order", "revealed too late", func(r *Record) { r.Events[5].At = moment(61) }},
	{"seeds, whole order", "another secret", func(r *Record) { r.Events[3].Secret = "no. 4" }},
	{"seeds, whole order", "another nonce", func(r *Record) { r.Events[3].Nonce[0]++ }},
	{"seeds, whole order", "committed twice", func(r *Record) { r.Events[2].Party = "host" }},
	{"seeds, whole order", "revealed before all committed", func(r *Record) {
		r.Events[2], r.Events[3] = r.Events[3], r.Events[2]
		r.Events[2].N, r.Events[3].N = 3, 4
		r.Events[2].At = moment(20)
	}},
	{"seeds, missing reveal", "the late reveal after all", func(r *Record) {
		r.Events[5] = revealEvent(6, "co-host", "zwölf Löffel")
		r.Events[5].At = moment(61)
	}},
	{"seeds, later value", "a value typed before it appeared", func(r *Record) { r.Events[3].At = moment(79) }},
	{"seeds, later value", "a number out of bounds", func(r *Record) { r.Events[3].Values[0] = "50" }},
	{"public sources", "a number twice", func(r *Record) { r.Events[1].Values[0] = "5" }},
	{"public sources", "no number", func(r *Record) { r.Events[0].Values[0] = "9,319" }},
	{"public sources", "a source twice", func(r *Record) { r.Events[1] = sourceEvent(2, 1, "9319") }},
	{"public sources", "a source too many", func(r *Record) { r.Events[1].Source = 4 }},
	{"public sources", "a source missing", func(r *Record) { r.Events = r.Events[:2] }},
	// The steps and the result.
	{"dice, two finalists", "another entry", func(r *Record) { r.Steps[0].Number, r.Result[0] = 17, 17 }},
	{"dice, two finalists", "another result", func(r *Record) { r.Result[0] = 17 }},
	{"dice, two finalists", "no result", func(r *Record) { r.Result = []int{} }},
	{"dice, two finalists", "void without a word", func(r *Record) { r.Void, r.Result = true, []int{} }},
	{"dice, void", "a result after all", func(r *Record) { r.Void, r.Result = false, []int{17} }},
	{"dice, two finalists", "unfinished", func(r *Record) { r.Events, r.Steps, r.Result = r.Events[:0], r.Steps[:0], r.Result[:0] }},
	{"dice, several throws", "a step left out", func(r *Record) { r.Steps = r.Steps[1:] }},
	{"dice, several throws", "a step more", func(r *Record) { r.Steps = append(r.Steps, r.Steps[0]) }},
	{"dice, several throws", "another limit", func(r *Record) { r.Steps[0].Limit++ }},
	{"seeds, whole order", "two places exchanged", func(r *Record) {
		r.Result[0], r.Result[1] = r.Result[1], r.Result[0]
		r.Steps[0].Number, r.Steps[1].Number = r.Steps[1].Number, r.Steps[0].Number
	}},
	{"public sources", "another digest", func(r *Record) { r.Steps[3].Digest = r.Steps[2].Digest }},
	{"dice, two finalists", "no sealed outcome", func(r *Record) { r.Ledger.Outcome = nil }},
}

func refreeze(r *Record) { r.Plan = r.Plan.Freeze(r.Roster, r.Plan.FrozenAt) }

// forge alters a record and builds a ledger around it in which all proofs hold.
func forge(t *testing.T, s sample, change func(*Record)) []byte {
	t.Helper()
	rec, err := Parse(build(t, s.plan, s.roster, s.events...))
	require.NoError(t, err)
	change(&rec)
	sealed := rec.Ledger.Outcome != nil
	if rec.Result == nil {
		rec.Result = []int{}
	}
	rec.Ledger = pinsOf(t, rec.Plan, rec.Events, rec.Result, sealed)
	doc, err := ledger.Canonical(rec)
	require.NoError(t, err)
	return doc
}

func sampleNamed(t *testing.T, name string) sample {
	t.Helper()
	all := samples()
	i := slices.IndexFunc(all, func(s sample) bool { return s.name == name })
	require.GreaterOrEqual(t, i, 0, name)
	return all[i]
}

// Each rule is checked for itself, not only by the ledger that pins everything.
func TestForgedRecordsAreFound(t *testing.T) {
	for _, f := range forged {
		report := Verify(forge(t, sampleNamed(t, f.of), f.change), Options{})
		require.False(t, report.Holds(), "%s: %s", f.of, f.rule)
		for _, c := range report.Claims {
			if c.What == "The head is signed with the key in the record" || c.What == "The plan and the list were fixed in the ledger" {
				require.True(t, c.Holds, "%s: %s: only the rule is to be broken: %s", f.of, f.rule, c.Detail)
			}
		}
	}
	for _, s := range samples() {
		require.True(t, Verify(forge(t, s, func(*Record) {}), Options{}).Holds(), "unaltered, the ledger built anew holds")
	}
}
