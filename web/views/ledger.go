package views

import (
	"bytes"
	"context"
	"encoding/json"
	"slices"
	"strconv"
	"strings"
	"time"

	"fairladle/challenge"
	"fairladle/challenge/draw"
	"fairladle/store"
)

// A LedgerPage is a stretch of a challenge's ledger as the public sees it.
type LedgerPage struct {
	Frame      Frame
	Base, Slug string
	Challenge  string
	Removed    []store.Held // rehearsals of draws that are not in the plan any more
	Lines      []LedgerLine
	Size       int
	Sealed     int // leaves whose content is not shown now
	From, To   int // the stretch shown, the first inclusive, the last not
	Earlier    int // where the stretch before begins, -1 if none
	Checkpoint string
	Key        string
}

// A LedgerLine is one leaf in plain words.
type LedgerLine struct {
	Leaf  store.Leaf
	At    time.Time // zero where the content is not shown
	Words string
	More  []string // reasons and figures
}

// NewLedgerLine says in plain words what a leaf records. Of one that is not
// shown it says only that.
func NewLedgerLine(ctx context.Context, c challenge.Challenge, leaf store.Leaf) LedgerLine {
	line := LedgerLine{Leaf: leaf}
	switch {
	case leaf.Erased:
		line.Words = t(ctx, "Erased, at a person's wish or since its time was over; its place in the ledger stays.")
	case leaf.Opening == nil:
		line.Words = t(ctx, "Sealed until its release")
	case leaf.Kind == challenge.EventRosterFrozen:
		line.frozen(ctx, leaf.Opening.Body)
	case leaf.Kind == challenge.EventRehearsal:
		line.rehearsed(ctx, leaf.Opening.Body)
	case leaf.Kind == challenge.EventDraw:
		line.drawn(ctx, leaf.Opening.Body)
	default:
		line.told(ctx, c, leaf)
	}
	return line
}

// written is the body of an event, its detail still as it was written.
type written struct {
	Kind    string          `json:"kind"`
	At      string          `json:"at"`
	Round   int             `json:"round"`
	Entry   int             `json:"entry"`
	Version int             `json:"version"`
	Reason  string          `json:"reason"`
	Detail  json.RawMessage `json:"detail"`
}

// mostBody is the size above which a page does not read all that a leaf says:
// the opening of a round lists every entry that went in.
const mostBody = 64 << 10

func (l *LedgerLine) told(ctx context.Context, c challenge.Challenge, leaf store.Leaf) {
	if body := leaf.Opening.Body; len(body) > mostBody {
		if at, ok := bytes.CutPrefix(body, []byte(`{"at":"`)); ok {
			l.At, _ = time.Parse(challenge.Stamp, string(at[:len(challenge.Stamp)])) // as below
		}
		l.Words = eventWords(ctx, written{Kind: leaf.Kind, Round: leaf.Round}, roundTitle(ctx, c, leaf.Round))
		l.More = []string{t(ctx, "What it lists is too long for this page; it stands in the file of the ledger.")}
		return
	}
	var e written
	if err := json.Unmarshal(leaf.Opening.Body, &e); err != nil {
		l.Words = t(ctx, "Something this version of the program has no words for")
		return
	}
	l.At, _ = time.Parse(challenge.Stamp, e.At) // a stamp that cannot be read is left out
	l.Words = eventWords(ctx, e, roundTitle(ctx, c, leaf.Round))
	if e.Reason != "" {
		l.More = append(l.More, t(ctx, "The reason given: “%v”", e.Reason))
	}
	l.More = append(l.More, eventDetails(ctx, e)...)
}

// roundTitle names the round a leaf belongs to now: it may have been moved, or
// taken out of the plan, since the leaf was written.
func roundTitle(ctx context.Context, c challenge.Challenge, position int) string {
	for _, r := range c.Rounds {
		if r.Position == position {
			return r.Title
		}
	}
	return t(ctx, "a round that was taken out of the plan")
}

func eventWords(ctx context.Context, e written, round string) string {
	switch e.Kind {
	case challenge.EventAnnounced:
		return t(ctx, "The challenge was opened to the public, with its brief, rules, dates, criteria and rounds.")
	case challenge.EventSettings:
		return t(ctx, "The settings were changed.")
	case challenge.EventRoundsChanged:
		return t(ctx, "The plan of the rounds was changed.")
	case challenge.EventReleaseChanged:
		return t(ctx, "The time of a release was changed.")
	case challenge.EventEntriesClosed:
		return t(ctx, "Entries closed.")
	case challenge.EventReceived:
		return t(ctx, "No. %v was received.", e.Entry)
	case challenge.EventChanged:
		return t(ctx, "No. %v was changed; version %v stands.", e.Entry, e.Version)
	case challenge.EventWithdrawn:
		return t(ctx, "No. %v was withdrawn.", e.Entry)
	case challenge.EventBarred:
		return t(ctx, "No. %v was taken out for a stated cause.", e.Entry)
	case challenge.EventReadmitted:
		return t(ctx, "No. %v was taken back in.", e.Entry)
	case challenge.EventLateAdmitted:
		return t(ctx, "Late entries joined “%v”.", round)
	case challenge.EventPickPlan:
		return t(ctx, "The deadline or the stand-in of “%v” was changed.", round)
	case challenge.EventErased:
		return t(ctx, "Something was erased at a person's wish.")
	case challenge.EventTickets:
		return t(ctx, "No. %v was given its number of tickets in “%v”.", e.Entry, round)
	case challenge.EventOneEach:
		return t(ctx, "One entry of each person was drawn for the list of “%v”.", round)
	case challenge.EventRoundOpened:
		return t(ctx, "“%v” was opened.", round)
	case challenge.EventRoundClosed:
		return t(ctx, "“%v” was closed.", round)
	case challenge.EventReopened:
		return t(ctx, "“%v” was opened again: its closing was taken back.", round)
	case challenge.EventCorrected:
		if e.Entry > 0 {
			return t(ctx, "What came out of “%v” was corrected for No. %v.", round, e.Entry)
		}
		return t(ctx, "What came out of “%v” was corrected.", round)
	case challenge.EventPickSealed:
		return t(ctx, "The pick of “%v” was sealed.", round)
	case challenge.EventDishFixed:
		return t(ctx, "A house dish was fixed before the tasting of “%v”.", round)
	case challenge.EventPlateWithdrawn:
		return t(ctx, "A plate was taken out of “%v”.", round)
	case challenge.EventSheetSealed:
		return t(ctx, "A judge sealed a sheet of “%v”.", round)
	case challenge.EventSheetAmended:
		return t(ctx, "A judge amended a sealed sheet of “%v”.", round)
	case challenge.EventConflict:
		return t(ctx, "A judge was kept from a dish of “%v”.", round)
	case challenge.EventPrizeOffered:
		return t(ctx, "The prize was offered to No. %v.", e.Entry)
	case challenge.EventPrizeAnswered:
		return t(ctx, "The offer of the prize to No. %v came to an end.", e.Entry)
	case challenge.EventConflictLifted:
		return t(ctx, "A judge is no longer kept from a dish of “%v”.", round)
	case challenge.EventPostponed:
		return t(ctx, "“%v” was put off to another day.", round)
	case challenge.EventBallots:
		return t(ctx, "All ballots of “%v” were fixed before they were counted.", round)
	}
	return t(ctx, "Something this version of the program has no words for")
}

// eventDetails are the figures of an event that say something to a reader; the
// rest stands in the ledger's file.
func eventDetails(ctx context.Context, e written) []string {
	switch e.Kind {
	case challenge.EventEntriesClosed:
		var d struct {
			Entries int
			List    draw.Extent
		}
		if json.Unmarshal(e.Detail, &d) == nil {
			return []string{n(ctx, d.Entries, "One entry takes part.", "%v entries take part."), t(ctx, "Root of the list of all entries: %v", d.List.Root)}
		}
	case challenge.EventErased:
		var d struct{ Records []struct{ Round int } }
		if json.Unmarshal(e.Detail, &d) == nil && len(d.Records) > 0 {
			return []string{t(ctx, "What readers or the picker wrote about it was taken out of the records of closed rounds; marks and ranks stay.")}
		}
	case challenge.EventSettings:
		var d map[string]json.RawMessage
		if json.Unmarshal(e.Detail, &d) == nil && len(d) > 0 {
			return []string{t(ctx, "Changed: %v", strings.Join(sortedKeys(d), ", "))}
		}
	case challenge.EventRoundOpened:
		var d struct{ In []string }
		if json.Unmarshal(e.Detail, &d) == nil && len(d.In) > 0 {
			return []string{t(ctx, "What went in: %v", some(ctx, d.In))}
		}
	case challenge.EventRoundClosed:
		var d struct{ Through []string }
		if json.Unmarshal(e.Detail, &d) == nil && len(d.Through) > 0 {
			return []string{t(ctx, "What went on: %v", some(ctx, d.Through))}
		}
	case challenge.EventSheetSealed, challenge.EventSheetAmended, challenge.EventPlateWithdrawn:
		var d struct{ Code int }
		if json.Unmarshal(e.Detail, &d) == nil && d.Code > 0 {
			return []string{t(ctx, "Plate %v", d.Code)}
		}
	}
	return nil
}

func sortedKeys(m map[string]json.RawMessage) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, strings.ReplaceAll(k, "_", " "))
	}
	slices.Sort(keys)
	return keys
}

// some writes a list, cut where it becomes long.
func some(ctx context.Context, labels []string) string {
	const most = 30
	if len(labels) <= most {
		return strings.Join(labels, ", ")
	}
	return strings.Join(labels[:most], ", ") + " " + n(ctx, len(labels)-most, "and one more", "and %v more")
}

func (l *LedgerLine) frozen(ctx context.Context, body []byte) {
	var b struct{ Frozen draw.Plan }
	if err := json.Unmarshal(body, &b); err != nil {
		l.Words = t(ctx, "The list of a draw was fixed.")
		return
	}
	l.At = b.Frozen.FrozenAt.Time()
	l.Words = t(ctx, "The list of the draw “%v” was fixed.", b.Frozen.Draw)
	l.More = []string{n(ctx, b.Frozen.Roster.Entries, "One entry is on it.", "%v entries are on it.")}
}

// drawn tells an event of a draw, or the commitment to its outcome.
func (l *LedgerLine) drawn(ctx context.Context, body []byte) {
	var outcome struct {
		Draw   string
		Result []int
	}
	if json.Unmarshal(body, &outcome) == nil && outcome.Result != nil {
		numbers := make([]string, len(outcome.Result))
		for i, number := range outcome.Result {
			numbers[i] = strconv.Itoa(number)
		}
		l.Words = t(ctx, "The outcome of the draw “%v” was sealed: %v", outcome.Draw, some(ctx, numbers))
		return
	}
	name, e, err := draw.ParseEventBody(body)
	if err != nil {
		l.Words = t(ctx, "Something this version of the program has no words for")
		return
	}
	l.At, l.Words = e.At.Time(), t(ctx, "In the draw “%v”: %v", name, drawEventWords(ctx, e))
}

func drawEventWords(ctx context.Context, e draw.Event) string {
	switch e.Kind {
	case draw.Rolled:
		return t(ctx, "the %v typed the roll %v.", e.By, joinInts(e.Dice))
	case draw.Confirmed:
		return t(ctx, "the %v confirmed a roll.", e.By)
	case draw.Committed:
		return t(ctx, "“%v” sealed a secret.", e.Party)
	case draw.Revealed:
		return t(ctx, "“%v” opened its secret.", e.Party)
	case draw.Published:
		return t(ctx, "the %v typed a public value: %v.", e.By, strings.Join(e.Values, ", "))
	case draw.Voided:
		return t(ctx, "the %v declared it void: “%v”", e.By, e.Reason)
	}
	return string(e.Kind)
}

// rehearsed tells what happened in a rehearsal: it began, or an event of it.
func (l *LedgerLine) rehearsed(ctx context.Context, body []byte) {
	var b struct{ Frozen draw.Plan }
	if json.Unmarshal(body, &b) == nil && b.Frozen.Rehearsal {
		l.At = b.Frozen.FrozenAt.Time()
		l.Words = t(ctx, "A rehearsal began, “%v”, on a made-up list. It decides nothing.", b.Frozen.Draw)
		l.More = []string{n(ctx, b.Frozen.Roster.Entries, "One entry is on it.", "%v entries are on it.")}
		return
	}
	l.drawn(ctx, body)
}
