package store

import (
	"context"
	"database/sql"
	"errors"
	"strings"

	"fairladle/challenge"
	"fairladle/challenge/kitchen"
)

// Prices are what food costs where the host shops, as typed.
type Prices struct {
	Currency string
	Text     string // one food a line, see kitchen.ReadPrices
}

// Most characters of a price list, and of the sign of a currency.
const (
	maxPrices   = 100_000
	maxCurrency = 8
)

// Prices returns the host's price list, empty where there is none.
func (db *DB) Prices(ctx context.Context) (p Prices, err error) {
	err = db.reads.QueryRowContext(ctx, `SELECT currency, prices FROM price_list WHERE id = 1`).Scan(&p.Currency, &p.Text)
	if errors.Is(err, sql.ErrNoRows) {
		err = nil
	}
	return p, err
}

// SetPrices keeps a price list of which every line can be read.
func (db *DB) SetPrices(ctx context.Context, a challenge.Actor, p Prices) error {
	if err := challenge.May(a, challenge.EditChallenge, 0); err != nil {
		return err
	}
	p.Currency = strings.TrimSpace(p.Currency)
	var bad challenge.Refusals
	if len(p.Currency) > maxCurrency {
		bad.Add("currency", "Give the sign of the currency, such as € or £.")
	}
	if len(p.Text) > maxPrices {
		bad.Add("prices", "The list is too long: at most %v characters.", maxPrices)
	} else if _, wrong := kitchen.ReadPrices(p.Text); len(wrong) > 0 {
		bad.Add("prices", "Line %v cannot be read. Write the food, its price, and for how much: butter 2.40 per 250 g.", wrong[0])
	}
	if err := bad.Err(); err != nil {
		return err
	}
	return db.write(ctx, func(tx *Tx) error {
		_, err := tx.ExecContext(ctx, `INSERT INTO price_list (id, currency, prices, changed_at) VALUES (1, ?, ?, ?)
			ON CONFLICT DO UPDATE SET currency = excluded.currency, prices = excluded.prices, changed_at = excluded.changed_at`, p.Currency, p.Text, millis(tx.now))
		return err
	})
}
