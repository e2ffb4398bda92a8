package web

import (
	"net/http"
	"strings"
	"unicode"
	"unicode/utf8"

	"fairladle/challenge"
	"fairladle/challenge/draw"
	"fairladle/challenge/ledger"
	"fairladle/web/text"
	"fairladle/web/views"
)

// seal takes a party's secret, keeps its sealed form, and answers with the
// card that opens it. The answer is the page itself and no redirect: the
// secret is nowhere on the server from which a second page could show it. The
// form sent again, by a reload, seals nothing new and shows the card again.
func (x rollScreen) seal(w http.ResponseWriter, r *http.Request) error {
	d, round, base, r, err := x.at(r, challenge.ConfirmRoll)
	if err != nil {
		return err
	}
	if err := parse(r); err != nil {
		return err
	}
	p, err := x.page(r, d, round, base)
	if err != nil {
		return err
	}
	typed := typedSeed(r)
	e := draw.Event{N: number(r, "n"), Kind: draw.Committed, Party: typed.Party}
	e.Commitment, err = sealed(p.Draw.State.Plan.Draw, typed)
	if err == nil {
		err = x.s.db.DrawEvent(r.Context(), d.actor, d.challenge.ID, round.ID, e)
	}
	if m, ok := refusals(err); ok {
		p.Messages, p.At, p.Typed = m, "seal", typed
		x.s.show(w, r, formStatus(err), views.Draw(p))
		return nil
	}
	if err != nil {
		return err
	}
	f := x.s.deskFrame(r, d, text.T(r.Context(), "Sealed: “%v”", typed.Party))
	return x.s.ok(w, r, views.Card(views.SeedCard{Frame: f, Back: base, Draw: p.Draw.State.Plan.Draw, Party: typed.Party, Nonce: typed.Nonce,
		Secret: typed.Secret, Seal: e.Commitment.String(), RevealBy: p.Draw.State.Plan.Seeds.RevealBy.Time(), MadeElsewhere: typed.Sealed != ""}))
}

func typedSeed(r *http.Request) views.Typed {
	return views.Typed{Party: r.PostFormValue("party"), Secret: r.PostFormValue("secret"),
		Nonce: hexTyped(r.PostFormValue("nonce")), Sealed: hexTyped(r.PostFormValue("sealed"))}
}

// hexTyped forgives capitals and blanks in hex digits that were typed or
// pasted.
func hexTyped(s string) string { return strings.ToLower(strings.Join(strings.Fields(s), "")) }

// sealed is the sealed form of a secret, or the one made elsewhere. It refuses
// a secret that could not be opened again.
func sealed(name string, typed views.Typed) (*ledger.Commitment, error) {
	var bad challenge.Refusals
	var content ledger.Commitment
	var nonce ledger.Salt
	switch {
	case typed.Sealed != "" && typed.Secret != "":
		bad.Add("sealed", "Hand in either the secret or a sealed form made elsewhere, not both.")
	case typed.Sealed != "":
		if content.UnmarshalText([]byte(typed.Sealed)) != nil {
			bad.Add("sealed", "A sealed form has 64 digits, 0 to 9 and a to f.")
		}
		return &content, bad.Err()
	}
	if nonce.UnmarshalText([]byte(typed.Nonce)) != nil {
		bad.Add("nonce", "The number has 32 digits, 0 to 9 and a to f.")
	}
	s := typed.Secret
	switch {
	case len(s) < 8:
		bad.Add("secret", "Type at least 8 characters that nobody can guess.")
	case utf8.RuneCountInString(s) > 200 || !utf8.ValidString(s) || strings.ContainsFunc(s, unicode.IsControl):
		bad.Add("secret", "The secret is one line of at most 200 characters.")
	case strings.TrimSpace(s) != s:
		bad.Add("secret", "The secret begins or ends with a blank, which is easily lost when it is copied. Take it away.")
	}
	content = draw.SeedCommitment(name, typed.Party, nonce, s)
	return &content, bad.Err()
}

func (x rollScreen) reveal(w http.ResponseWriter, r *http.Request) error {
	return x.record(w, r, "reveal", func(r *http.Request) (draw.Event, views.Typed, error) {
		typed := typedSeed(r)
		e := draw.Event{N: number(r, "n"), Kind: draw.Revealed, Party: typed.Party, Secret: typed.Secret, Nonce: new(ledger.Salt)}
		if e.Nonce.UnmarshalText([]byte(typed.Nonce)) != nil {
			return e, typed, challenge.Refuse(challenge.Invalid, "nonce", "The number has 32 digits, 0 to 9 and a to f.")
		}
		return e, typed, nil
	})
}

// source records a public value as it was published.
func (x rollScreen) source(w http.ResponseWriter, r *http.Request) error {
	return x.record(w, r, "source", func(r *http.Request) (draw.Event, views.Typed, error) {
		typed := views.Typed{Source: number(r, "source"), Values: field(r, "values")}
		return draw.Event{N: number(r, "n"), Kind: draw.Published, Source: typed.Source, Values: values(typed.Values, field(r, "form"))}, typed, nil
	})
}

// values splits what was typed: numbers at blanks and semicolons, whole ones at
// commas too; a text is taken as it is.
func values(typed, form string) []string {
	if form == draw.Text {
		return []string{typed}
	}
	return strings.FieldsFunc(typed, func(c rune) bool { return c == ',' && form != draw.Decimal || c == ';' || unicode.IsSpace(c) })
}
