package store

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"fairladle/challenge"
	"fairladle/challenge/draw"
	"fairladle/challenge/ledger"
)

// DrawEvent adds an event to a draw; e.N is the number the page expected it to
// have, so that a page that is behind changes nothing. The same event sent
// twice, by a double click or again after a lost answer, is one event.
func (db *DB) DrawEvent(ctx context.Context, a challenge.Actor, challengeID, round int64, e draw.Event) error {
	if err := mayDraw(a, challengeID, e); err != nil {
		return err
	}
	return db.write(ctx, func(tx *Tx) error {
		c, r, err := challengeAndRound(ctx, tx, challengeID, round)
		if err != nil {
			return err
		}
		if err := roundUnderWay(ctx, tx, challengeID, round, r.Kind, 0); err != nil {
			return err
		}
		if r.Kind != challenge.Draw && e.Kind == draw.Voided {
			return challenge.Refuse(challenge.Invalid, "", "The draw that settles a tie cannot be declared void; roll until every place is filled.")
		}
		e.By = byName(a)
		x, err := drawOf(ctx, tx, round)
		if err != nil {
			return err
		}
		if sentTwice(x.events, e) {
			return nil
		}
		e.N = onto(x.events, e)
		return x.add(ctx, tx, c, r, e)
	})
}

// mayDraw: the host runs a draw and speaks for parties without a link of
// their own; the co-host confirms rolls and gives the co-host's secret.
func mayDraw(a challenge.Actor, challengeID int64, e draw.Event) error {
	switch e.Kind {
	case draw.Confirmed:
		return challenge.May(a, challenge.ConfirmRoll, challengeID)
	case draw.Committed, draw.Revealed:
		if e.Party == ServerParty {
			return challenge.Refuse(challenge.Barred, "", "The server gives its own secret by itself.")
		}
		switch {
		case GivesSecret(a, e.Party):
			return challenge.May(a, challenge.ConfirmRoll, challengeID)
		case a.Role == challenge.Host:
			return challenge.Refuse(challenge.Barred, "", "The co-host's secret is given through the co-host's own link.")
		}
	}
	return challenge.May(a, challenge.RunDraw, challengeID)
}

// GivesSecret says whether an actor types the secret of a party: the co-host
// that of the co-host, through a link the host does not hold; the host that of
// everyone else but the server, whoever then sits at the host's keyboard.
func GivesSecret(a challenge.Actor, party string) bool {
	cohosts := strings.EqualFold(party, cohostParty)
	switch a.Role {
	case challenge.Host:
		return party != ServerParty && !cohosts
	case challenge.Cohost:
		return cohosts
	}
	return false
}

const cohostParty = "co-host"

// byName is how an actor stands in a draw's record: a role, never a name.
func byName(a challenge.Actor) string {
	if a.Role == challenge.Host {
		return "host"
	}
	return cohostParty
}

// sentTwice recognises an event that was recorded under this number already.
func sentTwice(events []draw.Event, e draw.Event) bool {
	if e.N < 1 || e.N > len(events) {
		return false
	}
	old := events[e.N-1]
	e.At = old.At
	return jsonText(e) == jsonText(old)
}

// onto gives an event the next number where nothing has happened since its
// page was loaded that it could depend on: a roll confirmed meanwhile, or
// another party's secret. Otherwise it keeps its number and is refused.
func onto(events []draw.Event, e draw.Event) int {
	if e.N < 1 {
		return e.N
	}
	for _, since := range events[min(e.N-1, len(events)):] {
		if !parallel(since.Kind, e.Kind) {
			return e.N
		}
	}
	return max(e.N, len(events)+1)
}

func parallel(since, e draw.Kind) bool {
	switch e {
	case draw.Rolled:
		return since == draw.Confirmed
	case draw.Confirmed:
		return since == draw.Confirmed || since == draw.Rolled
	case draw.Committed, draw.Revealed, draw.Published:
		return since == e
	}
	return false
}

// sealServerSeed commits the server to a secret of its own at the opening.
func sealServerSeed(ctx context.Context, tx *Tx, c challenge.Challenge, r challenge.Round, plan draw.Plan) error {
	secret, err := tx.bytes(16)
	if err != nil {
		return err
	}
	nonce, err := tx.bytes(16)
	if err != nil {
		return err
	}
	if _, err := tx.ExecContext(ctx, `UPDATE draw SET secret = ?, nonce = ? WHERE round_id = ?`, Token(secret), nonce, r.ID); err != nil {
		return err
	}
	x, err := drawOf(ctx, tx, r.ID)
	if err != nil {
		return err
	}
	content := draw.SeedCommitment(plan.Draw, ServerParty, ledger.Salt(nonce), Token(secret))
	return x.add(ctx, tx, c, r, draw.Event{N: 1, Kind: draw.Committed, By: ServerParty, Party: ServerParty, Commitment: &content})
}

// RevealServerSeed opens the server's own secret, once the roster is frozen.
func (db *DB) RevealServerSeed(ctx context.Context, a challenge.Actor, challengeID, round int64) error {
	if err := challenge.May(a, challenge.RunDraw, challengeID); err != nil {
		return err
	}
	return db.write(ctx, func(tx *Tx) error {
		c, r, err := challengeAndRound(ctx, tx, challengeID, round)
		if err != nil {
			return err
		}
		if err := roundUnderWay(ctx, tx, challengeID, round, challenge.Draw, 0); err != nil {
			return err
		}
		x, err := drawOf(ctx, tx, round)
		if err != nil {
			return err
		}
		var secret string
		var nonce []byte
		if err := tx.QueryRowContext(ctx, `SELECT secret, nonce FROM draw WHERE round_id = ?`, round).Scan(&secret, &nonce); err != nil {
			return err
		}
		if len(nonce) != 16 {
			return challenge.NotFound("The server gives no secret to this draw.")
		}
		if slices.ContainsFunc(x.state.Shares, func(o draw.Share) bool { return o.Party == ServerParty && o.Revealed }) {
			return nil // pressed twice
		}
		salt := ledger.Salt(nonce)
		return x.add(ctx, tx, c, r, draw.Event{N: x.state.Next, Kind: draw.Revealed, By: ServerParty, Party: ServerParty, Nonce: &salt, Secret: secret})
	})
}

// NewNonce draws the 128 random bits that a party seals its secret with.
func (db *DB) NewNonce() (ledger.Salt, error) {
	b, err := (&Tx{random: db.random}).bytes(len(ledger.Salt{}))
	if err != nil {
		return ledger.Salt{}, fmt.Errorf("nonce: %w", err)
	}
	return ledger.Salt(b), nil
}
