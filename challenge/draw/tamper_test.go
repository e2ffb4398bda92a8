package draw

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fairladle/challenge/ledger"
)

// optional are members that a record may leave out: their absence shows as a
// claim that is not made.
var optional = map[string]bool{".ledger.earlier": true}

// Each field of each record is changed in turn, and each change is found; each
// member is left out, each element dropped, repeated and exchanged.
func TestTamperingIsFound(t *testing.T) {
	for _, s := range samples() {
		t.Run(s.name, func(t *testing.T) {
			t.Parallel()
			doc := build(t, s.plan, s.roster, s.events...)
			changes := 0
			for where, changed := range tampered(t, doc) {
				changes++
				report := Verify(changed, Options{})
				require.False(t, report.Holds(), "%s was changed and not found", where)
				require.NotEmpty(t, report.First())
			}
			require.Greater(t, changes, 60)
		})
	}
}

// Any changed byte is found as well, whether or not JSON still comes out.
func TestEveryByteCounts(t *testing.T) {
	s := samples()[0]
	doc := build(t, s.plan, s.roster, s.events...)
	for i := range doc {
		changed := slices.Clone(doc)
		changed[i] ^= 1
		require.False(t, Verify(changed, Options{}).Holds(), "byte %d: %q", i, changed)
	}
	require.False(t, Verify(append([]byte(" "), doc...), Options{}).Holds(), "not canonical")
	require.False(t, Verify(append(doc[:len(doc):len(doc)], '\n'), Options{}).Holds(), "not canonical")
}

// tampered yields altered copies of the document in canonical form, with the
// place of the change.
func tampered(t *testing.T, doc []byte) func(yield func(string, []byte) bool) {
	return func(yield func(string, []byte) bool) {
		var root any
		require.NoError(t, json.Unmarshal(doc, &root))
		require.Equal(t, string(doc), string(canonicalOf(t, root)), "an unchanged record would be taken for a changed one")
		n := 0
		emit := func(where string) bool {
			if n++; n%sparse(len(doc)) != 0 {
				return true
			}
			out := canonicalOf(t, root)
			if string(out) == string(doc) {
				return true // exchanging equal elements changes nothing
			}
			return yield(where, out)
		}
		walk("", root, func(v any) { root = v }, emit)
	}
}

// sparse is how many changes of a long record share one trial in an ordinary
// run; with FAIRLADLE_LONG=1 in the environment, as in .ci/run, each is tried.
func sparse(bytes int) int {
	if long() || bytes < 6000 {
		return 1
	}
	return 5
}

// canonicalOf writes what json.Unmarshal read. Maps come out sorted; the one
// letter of the samples that RFC 8785 writes differently is put back.
func canonicalOf(t *testing.T, v any) []byte {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	require.NoError(t, enc.Encode(v))
	return bytes.ReplaceAll(bytes.TrimSuffix(b.Bytes(), []byte("\n")), []byte(`\u2028`), []byte("\u2028"))
}

// walk changes the value v, writes each variant back with set, and restores it.
func walk(where string, v any, set func(any), emit func(string) bool) bool {
	variant := func(kind string, changed any) bool {
		set(changed)
		ok := emit(where + kind)
		set(v)
		return ok
	}
	switch v := v.(type) {
	case map[string]any:
		for _, key := range slices.Sorted(maps.Keys(v)) {
			at, old := where+"."+key, v[key]
			if !optional[at] {
				delete(v, key)
				ok := emit(at + " left out")
				v[key] = old
				if !ok {
					return false
				}
			}
			if !walk(at, old, func(c any) { v[key] = c }, emit) {
				return false
			}
		}
		more := maps.Clone(v)
		more["more"] = 1
		return variant(" with a member more", more)
	case []any:
		for i := range v {
			if optional[where] || passedOver(i, len(v)) {
				continue
			}
			if !variant(fmt.Sprintf("[%d] dropped", i), slices.Delete(slices.Clone(v), i, i+1)) ||
				!variant(fmt.Sprintf("[%d] repeated", i), slices.Insert(slices.Clone(v), i, v[i])) {
				return false
			}
			if i > 0 {
				swapped := slices.Clone(v)
				swapped[i-1], swapped[i] = swapped[i], swapped[i-1]
				if !variant(fmt.Sprintf("[%d] exchanged", i), swapped) {
					return false
				}
			}
		}
		for i := range v {
			if passedOver(i, len(v)) {
				continue
			}
			if !walk(fmt.Sprintf("%s[%d]", where, i), v[i], func(c any) { v[i] = c }, emit) {
				return false
			}
		}
	case string:
		return variant(" changed", v+"0") && variant(" changed", other(v)) && variant(" emptied", "")
	case float64:
		return variant(" raised", v+1) && variant(" lowered", v-1)
	case bool:
		return variant(" turned", !v)
	}
	return true
}

// passedOver leaves out most elements of a long array, unless FAIRLADLE_LONG=1
// is in the environment.
func passedOver(i, n int) bool {
	return n > 30 && i%67 != 0 && i != n-1 && !long()
}

// other changes one digit or letter in the middle, so that hex stays hex.
func other(v string) string {
	if v == "" {
		return "x"
	}
	i := len(v) / 2
	for i > 0 && !strings.ContainsRune("0123456789abcdefghijklmnopqrstuvwxyz", rune(v[i])) {
		i--
	}
	c := byte('1')
	if v[i] == '1' {
		c = '2'
	}
	return v[:i] + string(c) + v[i+1:]
}

// Someone who holds the ledger's key can rebuild a ledger and a record in which
// everything holds; a head kept elsewhere finds it, and without one the report
// says so.
func TestRebuiltLedgerIsFoundByHead(t *testing.T) {
	s := samples()[0]
	honest := Verify(build(t, s.plan, s.roster, s.events...), Options{})
	forgedEvents := slices.Clone(s.events)
	forgedEvents[0].Dice = []int{3}
	forged := build(t, s.plan, s.roster, forgedEvents...)
	require.True(t, Verify(forged, Options{}).Holds())
	require.Contains(t, strings.Join(Verify(forged, Options{}).CannotShow, " "), "No head and no key from elsewhere was given")

	head, err := ledger.ParseCheckpoint(honest.Record.Ledger.Checkpoint)
	require.NoError(t, err)
	require.False(t, Verify(forged, Options{Head: &head}).Holds())
	key, err := honest.Record.Ledger.key()
	require.NoError(t, err)
	report := Verify(build(t, s.plan, s.roster, s.events...), Options{Head: &head, Key: key})
	require.True(t, report.Holds(), report.First())
	require.NotContains(t, strings.Join(report.CannotShow, " "), "kept elsewhere was given")
}

func TestHeadsOfOtherSizes(t *testing.T) {
	s := samples()[0]
	doc := build(t, s.plan, s.roster, s.events...)
	rec, err := Parse(doc)
	require.NoError(t, err)

	early := rec.Ledger.Earlier[0]
	kept := ledger.Checkpoint{Size: early.Size, Root: early.Root}
	require.True(t, Verify(doc, Options{Head: &kept}).Holds(), "the record itself leads from this head")
	kept.Root[0]++
	require.False(t, Verify(doc, Options{Head: &kept}).Holds())
	kept.Root[0]--
	kept.Origin = "example.org/another"
	require.False(t, Verify(doc, Options{Head: &kept}).Holds())

	kept = ledger.Checkpoint{Size: 2, Root: ledger.Hash{1}}
	require.Contains(t, Verify(doc, Options{Head: &kept}).First(), "give the proof")
	kept = ledger.Checkpoint{Size: 99, Root: ledger.Hash{1}}
	require.False(t, Verify(doc, Options{Head: &kept, Proof: ledger.Proof{{1}}}).Holds())
}

func TestAnotherKeyIsFound(t *testing.T) {
	s := samples()[0]
	doc := build(t, s.plan, s.roster, s.events...)
	require.False(t, Verify(doc, Options{Key: make([]byte, 32)}).Holds())
	require.False(t, Verify(doc, Options{Key: []byte("short")}).Holds())
}

// A ledger in which the roll stands before the list was fixed, or the outcome
// before the roll, shows it.
func TestOrderInLedgerCounts(t *testing.T) {
	s := samples()[0]
	k := &kept{}
	add := func(body []byte, err error) int64 { return k.add(t, body, err) }
	outcome := add(OutcomeBody(s.plan.Draw, []int{42}))
	roll := add(EventBody(s.plan.Draw, s.events[0]))
	frozen := add(FrozenBody(s.plan))
	head := ledger.Checkpoint{Origin: "example.org/winter-pies", Size: k.tree.Size(), Root: k.tree.Root()}
	pins := pinsFor(t, s.plan, s.roster, s.events[:1])
	var err error
	pins.Checkpoint, err = head.Sign(ledgerKey())
	require.NoError(t, err)
	sealed := k.pin(t, outcome)
	pins.Frozen, pins.Events, pins.Outcome, pins.Earlier = k.pin(t, frozen), []Pin{k.pin(t, roll)}, &sealed, nil
	_, err = Build(s.plan, s.roster, s.events[:1], pins)
	require.ErrorContains(t, err, "stands before the list was fixed")

	st, err := Replay(s.plan, s.roster, s.events[:1])
	require.NoError(t, err)
	doc, err := ledger.Canonical(recordOf(st, s.roster, s.events[:1], pins))
	require.NoError(t, err)
	failed := 0
	for _, c := range Verify(doc, Options{}).Claims {
		if !c.Holds {
			failed++
		}
	}
	require.Equal(t, 2, failed)
}

func TestUnfinishedHasNoRecord(t *testing.T) {
	s := samples()[0]
	_, err := Build(s.plan, s.roster, nil, pinsFor(t, s.plan, s.roster, nil))
	require.ErrorIs(t, err, ErrUnfinished)
	_, err = Build(s.plan, s.roster, s.events, Pins{})
	require.ErrorContains(t, err, "does not verify")
	_, err = Build(s.plan, s.roster[:1], s.events, Pins{})
	require.ErrorIs(t, err, Refusal{Code: BadRoster})
}

func TestInlineKeepsTheRecord(t *testing.T) {
	c := sampleNamed(t, "rehearsal")
	doc := build(t, c.plan, c.roster, c.events...)
	page := Inline(doc)
	require.NotContains(t, string(page), "<")
	a, err := Parse(doc)
	require.NoError(t, err)
	b, err := Parse(page)
	require.NoError(t, err)
	require.Equal(t, a, b)
}

func FuzzVerify(f *testing.F) {
	for _, s := range samples() {
		if len(s.roster) < 30 {
			f.Add(build(f, s.plan, s.roster, s.events...))
		}
	}
	f.Add([]byte(`{"version":1}`))
	f.Add([]byte(`[]`))
	f.Fuzz(func(t *testing.T, doc []byte) {
		report := Verify(doc, Options{})
		if report.Holds() {
			again, err := ledger.Canonical(report.Record)
			require.NoError(t, err)
			require.Equal(t, string(doc), string(again))
		}
		NewProtocol(report.Record)
	})
}
