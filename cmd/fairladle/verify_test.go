package main

import (
	"bytes"
	"context"
	"crypto/rand"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fairladle/challenge"
	"fairladle/challenge/draw"
	"fairladle/challenge/ledger"
	"fairladle/store"
)

// published is what a challenge with one draw publishes, as files.
type published struct {
	t                          *testing.T
	dir, record, slip, outside string // outside: the slip of an entry that is not drawn from
	head, later                string // heads of before the draw, and of after the record
	key                        string
	proof, laterProof          string
}

// publish lives one small challenge in the real store and writes what it
// publishes: two of three entries stand in the draw.
func publish(t *testing.T) *published {
	ctx := t.Context()
	p := &published{t: t, dir: t.TempDir()}
	now := time.Date(2026, 11, 2, 9, 0, 0, 0, time.UTC)
	db, err := store.Open(ctx, filepath.Join(p.dir, "test.db"), store.Options{Now: func() time.Time { return now }, Random: rand.Reader})
	require.NoError(t, err)
	defer func() { require.NoError(t, db.Close()) }()
	host := challenge.Actor{Role: challenge.Host, ID: 1}
	slug, err := db.CreateChallenge(ctx, host, challenge.Settings{Title: "Stuffed leaves", Zone: "UTC", OpensAt: now, ClosesAt: now.AddDate(0, 0, 7),
		Release: now.AddDate(0, 0, 30), EntriesPerPerson: 1, Kitchen: challenge.DefaultKitchen(), Criteria: challenge.DefaultCriteria()})
	require.NoError(t, err)
	c, err := db.ChallengeBySlug(ctx, slug)
	require.NoError(t, err)
	for i := len(c.Rounds); i > 3; i-- {
		require.NoError(t, db.RemoveRound(ctx, host, c.ID, c.Rounds[i-1].ID))
	}
	reading, pick, drawRound := c.Rounds[0], c.Rounds[1], c.Rounds[2]
	require.NoError(t, db.RemoveRound(ctx, host, c.ID, pick.ID))
	reading.Params.Keep = 2
	require.NoError(t, db.EditRound(ctx, host, c.ID, reading))
	require.NoError(t, db.Announce(ctx, host, c.ID))
	slips := p.enter(ctx, db, c.ID)
	now = now.AddDate(0, 0, 8)
	require.NoError(t, db.OpenRound(ctx, host, c.ID, reading.ID))
	for _, n := range []int{1, 3} {
		dish, err := db.EntryByNumber(ctx, c.ID, n)
		require.NoError(t, err)
		require.NoError(t, db.MoveByHand(ctx, host, c.ID, reading.ID, []store.Choice{{Dish: dish, Chosen: true, Reason: "answers the theme"}}))
	}
	_, err = db.CloseRound(ctx, host, c.ID, reading.ID)
	require.NoError(t, err)
	kept := p.ledger(ctx, db, c)
	require.NoError(t, db.OpenRound(ctx, host, c.ID, drawRound.ID))
	require.NoError(t, db.DrawEvent(ctx, host, c.ID, drawRound.ID, draw.Event{N: 1, Kind: draw.Rolled, Place: 1, Dice: []int{14}}))
	_, err = db.CloseRound(ctx, host, c.ID, drawRound.ID)
	require.NoError(t, err)
	doc, err := db.Document(ctx, drawRound.ID)
	require.NoError(t, err)
	rec, err := draw.Parse(doc)
	require.NoError(t, err)
	at, err := ledger.ParseCheckpoint(rec.Ledger.Checkpoint)
	require.NoError(t, err)
	p.record, p.slip, p.outside = p.write("record.json", doc), slips[2], slips[1]
	p.head, p.later = p.write("head.txt", []byte(kept)), p.write("later.txt", []byte(p.ledger(ctx, db, c)))
	p.proof = p.continuation(ctx, db, c, "proof.json", kept, at.Size)
	p.laterProof = p.continuation(ctx, db, c, "later.json", rec.Ledger.Checkpoint, 0)
	key, err := db.LedgerKey(ctx)
	require.NoError(t, err)
	p.key = draw.KeyText(key)
	return p
}

func (p *published) enter(ctx context.Context, db *store.DB, challengeID int64) (slips []string) {
	for i, name := range []string{"Una", "Dos", "Tria"} {
		_, token, err := db.Submit(ctx, challengeID, "", challenge.Submission{Name: name, Email: name + "@example.org", Origin: challenge.OriginOwn,
			Text:     "Leaf parcels\n\n20 vine leaves\n1 cup rice\n\nBoil the rice, roll it up, bake for 25 minutes.",
			Consents: map[challenge.ConsentKind]bool{challenge.Considered: true, challenge.OfAge: true}}, "", nil)
		require.NoError(p.t, err)
		link, err := db.FollowLink(ctx, store.ForEntrant, token)
		require.NoError(p.t, err)
		slip, err := db.Slip(ctx, link.Actor())
		require.NoError(p.t, err)
		b, err := slip.Encode()
		require.NoError(p.t, err)
		slips = append(slips, p.write("slip-"+string(rune('1'+i))+".json", b))
	}
	return slips
}

func (p *published) write(name string, b []byte) string {
	file := filepath.Join(p.dir, name)
	require.NoError(p.t, os.WriteFile(file, b, 0o600))
	return file
}

func (p *published) ledger(ctx context.Context, db *store.DB, c challenge.Challenge) string {
	l, err := db.Ledger(ctx, c, challenge.Public)
	require.NoError(p.t, err)
	return l.Checkpoint
}

// continuation writes a proof as the ledger page hands it out.
func (p *published) continuation(ctx context.Context, db *store.DB, c challenge.Challenge, name, from string, to int64) string {
	head, err := ledger.ParseCheckpoint(from)
	require.NoError(p.t, err)
	proof, err := db.Continuation(ctx, c, head.Size, to)
	require.NoError(p.t, err)
	b, err := json.Marshal(map[string]any{"from": proof.From, "to": proof.To, "proof": proof.Proof})
	require.NoError(p.t, err)
	return p.write(name, b)
}

// verify runs the command and returns what it said.
func (p *published) verify(args ...string) (string, error) {
	var out bytes.Buffer
	err := run(p.t.Context(), append([]string{"verify"}, args...), &out)
	return out.String(), err
}

// changed is a copy of a file with one text in it exchanged.
func (p *published) changed(file, was, is string) string {
	b, err := os.ReadFile(file)
	require.NoError(p.t, err)
	require.Contains(p.t, string(b), was)
	return p.write("changed-"+filepath.Base(file), []byte(strings.Replace(string(b), was, is, 1)))
}

func TestVerifyRecord(t *testing.T) {
	p := publish(t)
	said, err := p.verify(p.record)
	require.NoError(t, err, said)
	require.NotContains(t, said, "DOES NOT HOLD")
	require.Contains(t, said, "No. 3, No. 1")
	require.Contains(t, said, "not shown  No head and no key from elsewhere was given")

	said, err = p.verify("--key", p.key, "--head", p.head, "--proof", p.proof, p.record)
	require.NoError(t, err, said)
	require.Contains(t, said, "The head is signed with the key you gave")
	require.Contains(t, said, "The ledger is the one whose head you gave")
	require.NotContains(t, said, "No head and no key")
}

// A single changed byte is found, and said where.
func TestVerifyFindsOneChangedByte(t *testing.T) {
	p := publish(t)
	for was, c := range map[string]struct{ is, where string }{
		`"dice":[14]`:      {`"dice":[15]`, "The steps follow from the list and the events"},
		`"dice":[14],`:     {`"dice":[4],`, "The result follows from the steps"},
		`"result":[3,1]`:   {`"result":[1,3]`, "The result follows from the steps"},
		`"faces":[20]`:     {`"faces":[30]`, "The plan and the list were fixed in the ledger"},
		`"by":"host"`:      {`"by":"hose"`, "event 1"},
		`"number":3,"weig`: {`"number":2,"weig`, "The list is in order and is the one the plan names"},
		`"void":false}`:    {`"void":false} `, "canonical form"},
	} {
		said, err := p.verify(p.changed(p.record, was, c.is))
		require.ErrorIs(t, err, errFailed, "%s\n%s", was, said)
		require.Contains(t, notHolding(said), c.where, was)
	}
	b, err := os.ReadFile(p.record)
	require.NoError(t, err)
	for at := 0; at < len(b); at += 7 {
		b[at] ^= 1
		said, err := p.verify(p.write("flipped.json", b))
		require.Error(t, err, "byte %d: %s", at, said)
		b[at] ^= 1
	}
}

// notHolding are the claims that do not hold, with their details.
func notHolding(said string) string {
	var out []string
	lines := strings.Split(said, "\n")
	for i, l := range lines {
		if strings.Contains(l, "DOES NOT HOLD") {
			out = append(out, lines[i:min(i+2, len(lines))]...)
		}
	}
	return strings.Join(out, "\n")
}

func TestVerifyAgainstAKeptHead(t *testing.T) {
	p := publish(t)
	said, err := p.verify("--head", p.head, p.record)
	require.ErrorIs(t, err, errFailed)
	require.Contains(t, notHolding(said), "give the proof that leads from one to the other")
	said, err = p.verify("--head", p.later, "--proof", p.laterProof, p.record)
	require.NoError(t, err, said)
	said, err = p.verify("--head", p.head, "--proof", p.laterProof, p.record)
	require.ErrorIs(t, err, errFailed, said)
	lines := strings.SplitN(string(must(os.ReadFile(p.head))), "\n", 3)
	other := p.write("other.txt", []byte(lines[1]+" "+strings.Repeat("0", 64)))
	said, err = p.verify("--head", other, "--proof", p.proof, p.record)
	require.ErrorIs(t, err, errFailed, said)
	require.Contains(t, notHolding(said), "The ledger is the one whose head you gave")
	said, err = p.verify("--head", p.changed(p.head, "fairladle/stuffed-leaves", "fairladle/other-leaves"), "--proof", p.proof, p.record)
	require.ErrorIs(t, err, errFailed, said)

	_, err = p.verify("--head", p.record, p.record)
	require.ErrorContains(t, err, "--head")
	_, err = p.verify("--proof", p.head, p.record)
	require.ErrorContains(t, err, "--proof")
	_, err = p.verify("--key", "no key", p.record)
	require.ErrorContains(t, err, "--key")
}

func must(b []byte, err error) []byte {
	if err != nil {
		panic(err)
	}
	return b
}

func TestVerifyKeyOfAnother(t *testing.T) {
	p := publish(t)
	said, err := p.verify("--key", strings.Repeat("ab", 32), p.record)
	require.ErrorIs(t, err, errFailed)
	require.Contains(t, notHolding(said), "The head is signed with the key you gave")
	said, err = p.verify("--key", strings.Repeat("ab", 32), p.slip)
	require.ErrorIs(t, err, errFailed, said)
}

func TestVerifySlip(t *testing.T) {
	p := publish(t)
	said, err := p.verify(p.slip)
	require.NoError(t, err, said)
	require.Contains(t, said, "not shown  who signed the checkpoint")
	require.Contains(t, said, "entry No. 3 stands in the ledger")
	said, err = p.verify("--key", p.key, p.slip)
	require.NoError(t, err, said)
	require.NotContains(t, said, "not shown")
	for _, key := range [][]string{nil, {"--key", p.key}} {
		said, err = p.verify(append(key, p.changed(p.slip, `\"entry\":3`, `\"entry\":4`))...)
		require.ErrorIs(t, err, errFailed, said)
	}
	said, err = p.verify(p.slip, p.record)
	require.NoError(t, err, said)
	require.Contains(t, said, "No. 3 is in the list fixed on 2026-11-10T09:00:00Z, unaltered")
	said, err = p.verify(p.outside, p.record)
	require.ErrorIs(t, err, errFailed)
	require.Contains(t, notHolding(said), "No. 2 is not in the list")
}

func TestVerifyWhatIsNoRecord(t *testing.T) {
	p := publish(t)
	_, err := p.verify()
	require.ErrorContains(t, err, "name the files to check")
	_, err = p.verify(p.write("poem.txt", []byte("roses")))
	require.ErrorContains(t, err, "it is no JSON")
	_, err = p.verify(filepath.Join(p.dir, "nowhere.json"))
	require.ErrorIs(t, err, os.ErrNotExist)
	_, err = p.verify(p.write("empty.json", []byte("{}")))
	require.ErrorIs(t, err, errFailed)
}
