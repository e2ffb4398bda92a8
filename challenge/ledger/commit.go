package ledger

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"

	"github.com/gowebpki/jcs"
)

// Hash is a SHA-256 value; as text and in JSON it is 64 lower-case hex digits.
type Hash [sha256.Size]byte

// Commitment is SHA-256(salt || body): it binds whoever published it to the
// body and, as long as the salt is kept, tells nothing about it.
type Commitment [sha256.Size]byte

// Salt is 128 random bits, fresh for every leaf. Without it a body with few
// possible values (a roll of a die) could be found by trying them all.
type Salt [16]byte

// ErrHex says that a text is not the lower-case hex of the right length.
var ErrHex = errors.New("ledger: not lower-case hex of the right length")

// Commit returns SHA-256(salt || body) over the exact bytes of the body.
func Commit(salt Salt, body []byte) Commitment {
	h := sha256.New()
	h.Write(salt[:])
	h.Write(body)
	return Commitment(h.Sum(nil))
}

// Opening is what shows that a commitment is to a certain body. Erasing a
// person's data deletes it.
type Opening struct {
	Salt Salt
	Body []byte
}

// Opens reports whether the opening is of this commitment.
func (o Opening) Opens(c Commitment) bool { return Commit(o.Salt, o.Body) == c }

// Canonical returns v as JSON in the canonical form of RFC 8785, the form in
// which every body of the ledger is written.
func Canonical(v any) ([]byte, error) {
	raw, err := json.Marshal(v)
	if err != nil {
		return nil, fmt.Errorf("ledger: %w", err)
	}
	out, err := jcs.Transform(raw)
	if err != nil {
		return nil, fmt.Errorf("ledger: canonical form: %w", err)
	}
	return out, nil
}

func (h Hash) String() string       { return hex.EncodeToString(h[:]) }
func (c Commitment) String() string { return hex.EncodeToString(c[:]) }
func (s Salt) String() string       { return hex.EncodeToString(s[:]) }

// MarshalText writes lower-case hex.
func (h Hash) MarshalText() ([]byte, error) { return hex.AppendEncode(nil, h[:]), nil }

// MarshalText writes lower-case hex.
func (c Commitment) MarshalText() ([]byte, error) { return hex.AppendEncode(nil, c[:]), nil }

// MarshalText writes lower-case hex.
func (s Salt) MarshalText() ([]byte, error) { return hex.AppendEncode(nil, s[:]), nil }

// UnmarshalText reads 64 lower-case hex digits, else ErrHex.
func (h *Hash) UnmarshalText(text []byte) error { return readHex(h[:], text) }

// UnmarshalText reads 64 lower-case hex digits, else ErrHex.
func (c *Commitment) UnmarshalText(text []byte) error { return readHex(c[:], text) }

// UnmarshalText reads 32 lower-case hex digits, else ErrHex.
func (s *Salt) UnmarshalText(text []byte) error { return readHex(s[:], text) }

// readHex refuses upper case: two texts of one value would let a published
// document be changed without its meaning changing.
func readHex(dst, text []byte) error {
	if len(text) != hex.EncodedLen(len(dst)) {
		return ErrHex
	}
	for _, c := range text {
		if c >= 'A' && c <= 'F' {
			return ErrHex
		}
	}
	if _, err := hex.Decode(dst, text); err != nil {
		return ErrHex
	}
	return nil
}
