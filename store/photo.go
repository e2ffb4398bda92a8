package store

import (
	"context"
	"crypto/sha256"
	"encoding/hex"

	"fairladle/challenge"
)

// A Photo is a picture made harmless: upright, re-encoded, bounded.
type Photo struct {
	Width, Height int
	MIME          string
	Large, Thumb  []byte
}

// AddPhoto keeps a photo and returns the hex SHA-256 of its bytes, by which a
// form refers to it. The same picture is kept once.
func (db *DB) AddPhoto(ctx context.Context, p Photo) (string, error) {
	sum := sha256.Sum256(p.Large)
	err := db.write(ctx, func(tx *Tx) error {
		_, err := tx.ExecContext(ctx, `INSERT INTO photo (sha256, width, height, mime, large, thumb) VALUES (?, ?, ?, ?, ?, ?)
			ON CONFLICT (sha256) DO NOTHING`, sum[:], p.Width, p.Height, p.MIME, p.Large, p.Thumb)
		return err
	})
	return hex.EncodeToString(sum[:]), err
}

// Photo returns a kept photo by its sum. The sum is 256 bits nobody can guess;
// pages show it only to those who may see the picture.
func (db *DB) Photo(ctx context.Context, sum string, thumb bool) (mime string, b []byte, err error) {
	raw, err := hex.DecodeString(sum)
	if err != nil {
		return "", nil, challenge.NotFound("There is no such photo.")
	}
	query := `SELECT mime, large FROM photo WHERE sha256 = ?`
	if thumb {
		query = `SELECT mime, thumb FROM photo WHERE sha256 = ?`
	}
	err = db.reads.QueryRowContext(ctx, query, raw).Scan(&mime, &b)
	return mime, b, missing(err, "There is no such photo.")
}
