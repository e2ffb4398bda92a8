package draw

import (
	"crypto/ed25519"
	"crypto/sha256"
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fairladle/challenge/ledger"
)

// moment returns a moment some minutes after the first of December 2026, noon.
func moment(minutes int) Moment {
	return At(time.Date(2026, 12, 1, 12, minutes, 0, 0, time.UTC))
}

// rosterOf returns invented entries with the given numbers and one ticket each.
func rosterOf(numbers ...int) Roster {
	r := make(Roster, len(numbers))
	for i, n := range numbers {
		body := fmt.Appendf(nil, `{"entry":%d}`, n)
		r[i] = Ticket{Number: n, Weight: 1, Commitment: ledger.Commit(ledger.Salt{byte(n), byte(n >> 8)}, body)}
	}
	return r
}

func rosterUpTo(n int) Roster {
	numbers := make([]int, n)
	for i := range numbers {
		numbers[i] = i + 1
	}
	return rosterOf(numbers...)
}

func dicePlan(places int, faces ...int) Plan {
	return Plan{
		Draw: "winter-pies/draw-1", Challenge: "Winter pies", Method: ByDice, Dice: &Dice{Faces: faces},
		Places: places, AnnouncedAt: moment(0),
	}
}

func rollEvent(n, place int, dice ...int) Event {
	return Event{N: n, Kind: Rolled, At: moment(20 + n), By: "host", Place: place, Dice: dice}
}

func nonceOf(party string) ledger.Salt {
	sum := sha256.Sum256([]byte(party))
	return ledger.Salt(sum[:16])
}

func seedsPlan(places int, parties ...string) Plan {
	return Plan{
		Draw: "winter-pies/draw-2", Challenge: "Winter pies", Method: BySeeds, Places: places, AnnouncedAt: moment(0),
		Seeds:    &Seeds{Parties: parties, CommitBy: moment(30), RevealBy: moment(60)},
		Fallback: &Dice{Faces: []int{20}},
	}
}

func commitEvent(p Plan, n int, party, secret string) Event {
	c := SeedCommitment(p.Draw, party, nonceOf(party), secret)
	return Event{N: n, Kind: Committed, At: moment(5), By: party, Party: party, Commitment: &c}
}

func revealEvent(n int, party, secret string) Event {
	nonce := nonceOf(party)
	return Event{N: n, Kind: Revealed, At: moment(40), By: party, Party: party, Nonce: &nonce, Secret: secret}
}

func publicPlan(places int, sources ...Source) Plan {
	return Plan{
		Draw: "winter-pies/draw-3", Challenge: "Winter pies", Method: ByPublics, Sources: sources,
		Places: places, AnnouncedAt: moment(0),
	}
}

func sourceEvent(n, source int, values ...string) Event {
	return Event{N: n, Kind: Published, At: moment(90), By: "host", Source: source, Values: values}
}

// rfc3797Sources are shaped like the three sources of RFC 3797, section 6.
func rfc3797Sources() []Source {
	return []Source{
		{Name: "US national debt", At: moment(80), How: "in thousands of dollars, as published", Form: Whole, Count: 1, Bits: 12},
		Lottery("Lottery A", moment(80), "five numbers and a bonus, as announced", 5, 1, 40),
		Lottery("Lottery B", moment(80), "six numbers, as announced", 6, 1, 50),
	}
}

func ledgerKey() ed25519.PrivateKey {
	return ed25519.NewKeyFromSeed(make([]byte, ed25519.SeedSize))
}

// kept is a ledger in memory, as a store would keep it in rows.
type kept struct {
	tree  ledger.Tree
	salts []ledger.Salt
}

func (k *kept) add(t testing.TB, body []byte, err error) int64 {
	t.Helper()
	require.NoError(t, err)
	sum := sha256.Sum256(fmt.Appendf(nil, "salt %d", len(k.salts)))
	salt := ledger.Salt(sum[:16])
	c := ledger.Commit(salt, body)
	k.tree.Add(c[:])
	k.salts = append(k.salts, salt)
	return k.tree.Size() - 1
}

func (k *kept) pin(t testing.TB, leaf int64) Pin {
	t.Helper()
	p, err := k.tree.Inclusion(leaf)
	require.NoError(t, err)
	return Pin{Leaf: leaf, Salt: k.salts[leaf], Proof: p}
}

// pinsFor keeps a ledger as a challenge would.
func pinsFor(t testing.TB, p Plan, r Roster, events []Event) Pins {
	t.Helper()
	s, err := Replay(p, r, events)
	require.NoError(t, err)
	return pinsOf(t, p, events, s.Result, s.Done && !p.ReleaseAt.IsZero())
}

// pinsOf keeps a ledger whatever the events are: other leaves around the
// draw's, commitments before the freeze, everything else after it, then the
// outcome.
func pinsOf(t testing.TB, p Plan, events []Event, result []int, sealed bool) Pins {
	t.Helper()
	k := &kept{}
	for i := range 5 {
		k.add(t, fmt.Appendf(nil, `{"received":%d}`, i), nil)
	}
	var leaves []int64
	frozen := int64(-1)
	freeze := func() {
		if frozen < 0 {
			body, err := FrozenBody(p)
			frozen = k.add(t, body, err)
		}
	}
	early := ledger.Checkpoint{}
	for _, e := range events {
		if needsList(e.Kind) && frozen < 0 {
			freeze()
			early.Size, early.Root = k.tree.Size(), k.tree.Root()
		}
		body, err := EventBody(p.Draw, e)
		leaves = append(leaves, k.add(t, body, err))
	}
	freeze()
	body, err := OutcomeBody(p.Draw, append([]int{}, result...))
	outcome := k.add(t, body, err)
	k.add(t, []byte(`{"released":true}`), nil)

	head := ledger.Checkpoint{Origin: "example.org/winter-pies", Size: k.tree.Size(), Root: k.tree.Root()}
	pins := Pins{Key: KeyText(ledgerKey().Public().(ed25519.PublicKey)), Frozen: k.pin(t, frozen), Events: []Pin{}}
	pins.Checkpoint, err = head.Sign(ledgerKey())
	require.NoError(t, err)
	for _, leaf := range leaves {
		pins.Events = append(pins.Events, k.pin(t, leaf))
	}
	if sealed {
		pin := k.pin(t, outcome)
		pins.Outcome = &pin
	}
	if early.Size > 0 {
		proof, err := k.tree.Consistency(early.Size)
		require.NoError(t, err)
		pins.Earlier = []EarlierHead{{Size: early.Size, Root: early.Root, Proof: proof}}
	}
	return pins
}

func build(t testing.TB, p Plan, r Roster, events ...Event) []byte {
	t.Helper()
	doc, err := Build(p, r, events, pinsFor(t, p, r, events))
	require.NoError(t, err)
	return doc
}

// sample is one finished draw.
type sample struct {
	name   string
	plan   Plan
	roster Roster
	events []Event
}

// samples covers every method and every way a draw can end.
func samples() []sample {
	finalists := rosterOf(17, 42)
	d20 := dicePlan(1, 20).Freeze(finalists, moment(10))
	d20.Announcements = []Announcement{{At: moment(1), What: "One twenty-sided die decides between the two finalists."}}
	d20.ReleaseAt = moment(100)

	many := rosterUpTo(200)
	percent := dicePlan(3, 10, 10).Freeze(many, moment(10))
	percent.Dice.Reading = "tens, then ones"

	weighted := rosterOf(3, 5, 8)
	weighted[1].Weight = 4
	heavy := dicePlan(3, 6, 6).Freeze(weighted, moment(10))

	seven := rosterUpTo(7)
	seeds := seedsPlan(7, "host", "co-host", "audience").Freeze(seven, moment(10))
	seeds.ReleaseAt = moment(120)
	sealed := []Event{
		commitEvent(seeds, 1, "host", "a pinch of salt"),
		commitEvent(seeds, 2, "co-host", "zwölf Löffel"),
		commitEvent(seeds, 3, "audience", "no. 3"),
	}
	opened := append(sealed[:3:3], revealEvent(4, "audience", "no. 3"), revealEvent(5, "host", "a pinch of salt"))
	missing := append(opened[:5:5],
		Event{N: 6, Kind: Voided, At: moment(70), By: "host", Reason: "The co-host did not open the secret."},
	)
	for i := range 6 {
		missing = append(missing, rollEvent(7+i, 1+i, 1+3*i))
	}

	later := seedsPlan(2, "host", "judge").Freeze(seven, moment(10))
	later.Draw, later.Fallback = "winter-pies/draw-5", nil
	drawn := Lottery("Saturday lottery", moment(80), "six numbers, as announced", 6, 1, 49)
	later.Seeds = &Seeds{Parties: []string{"host", "judge", "server"}, CommitBy: moment(30), RevealBy: moment(60), Later: &drawn}

	people := rosterUpTo(25)
	public := publicPlan(10, rfc3797Sources()...).Freeze(people, moment(10))

	// So many tickets that three in ten values mean "again".
	heaviest := rosterOf(2, 3, 9)
	heaviest[0].Weight, heaviest[1].Weight, heaviest[2].Weight = 700_000_000, 700_000_000, 100_000_001
	again := seedsPlan(3, "host", "judge").Freeze(heaviest, moment(10))
	again.Draw = "winter-pies/draw-6"

	mixed := publicPlan(2,
		Source{Name: "Share index", At: moment(80), How: "closing value, two decimals", Form: Decimal, Count: 1, Bits: 8},
		Source{Name: "River levels", At: moment(85), How: "three gauges in cm", Form: Whole, Count: 3, Bits: 8},
		Source{Name: "Two digits", At: moment(85), How: "as announced", Form: Whole, Count: 2, High: 9, Bits: 5},
	).Freeze(people, moment(10))
	mixed.Draw, mixed.ReleaseAt = "winter-pies/draw-7", moment(85)

	written := publicPlan(2,
		Source{Name: "Beacon", At: moment(80), How: "its code of that hour", Form: Text, Count: 1, Bits: 64},
		Source{Name: "Two rivers", At: moment(85), How: "both levels in metres", Form: Decimal, Count: 2, Bits: 8},
	).Freeze(people, moment(10))
	written.Draw = "winter-pies/draw-8"

	rehearsal := dicePlan(1, 20).Freeze(RehearsalRoster(2), moment(10))
	rehearsal.Rehearsal, rehearsal.Draw = true, "winter-pies/rehearsal-1"
	// Whatever can go wrong between a text and its escaped forms.
	rehearsal.Challenge = "Pies </script> & \"more\" \\u003c <!-- ü\u2028 € 😀"

	return []sample{
		{"dice, two finalists", d20, finalists, []Event{
			rollEvent(1, 1, 13), {N: 2, Kind: Confirmed, At: moment(25), By: "co-host", Roll: 1},
		}},
		{"dice, several throws", percent, many, []Event{
			rollEvent(1, 1, 10, 10), rollEvent(2, 1, 9, 10), rollEvent(3, 2, 1, 1), rollEvent(4, 2, 1, 1),
			rollEvent(5, 3, 10, 10), rollEvent(6, 3, 10, 9), rollEvent(7, 3, 5, 5), rollEvent(8, 3, 5, 6),
		}},
		{"dice, weights", heavy, weighted, []Event{rollEvent(1, 1, 4, 4), rollEvent(2, 2, 3, 1)}},
		{"dice, void", d20, finalists, []Event{{N: 1, Kind: Voided, At: moment(22), By: "host", Reason: "The die fell from the table."}}},
		{"seeds, whole order", seeds, seven, append(opened[:5:5], revealEvent(6, "co-host", "zwölf Löffel"))},
		{"seeds, missing reveal", seeds, seven, missing},
		{"seeds, later value", later, seven, []Event{
			commitEvent(later, 1, "host", "thyme"), commitEvent(later, 2, "judge", "sage"),
			revealEvent(3, "host", "thyme"), sourceEvent(4, 1, "9", "18", "26", "34", "41", "45"),
		}},
		{"public sources", public, people, []Event{
			sourceEvent(1, 1, "9319"), sourceEvent(2, 2, "2", "5", "12", "8", "10"),
			sourceEvent(3, 3, "9", "18", "26", "34", "41", "45"),
		}},
		{"seeds, many tickets", again, heaviest, []Event{
			commitEvent(again, 1, "host", "basil"), commitEvent(again, 2, "judge", "chives"),
			revealEvent(3, "host", "basil"), revealEvent(4, "judge", "chives"),
		}},
		{"public sources, other forms", mixed, people, []Event{
			sourceEvent(1, 2, "0310", "95", "95"), sourceEvent(2, 1, "04321.50"), sourceEvent(3, 3, "7", "0"),
		}},
		{"public sources, written out", written, people, []Event{
			sourceEvent(1, 1, "  7F-3a Ä, Wednesday "), sourceEvent(2, 2, "7.25", "03.10"),
		}},
		{"rehearsal", rehearsal, RehearsalRoster(2), []Event{rollEvent(1, 1, 20)}},
	}
}
