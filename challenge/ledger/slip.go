package ledger

import (
	"bytes"
	"crypto/ed25519"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"unicode/utf8"
)

// SlipVersion is the version of the slip's form that this package writes.
const SlipVersion = 1

// Slip is what an entrant keeps from the moment of sending: it shows later
// that the entry was received, and with what content, whatever the server then
// says. It holds the entrant's own entry, so it is for the entrant alone.
type Slip struct {
	Version   int    `json:"version"`
	Challenge string `json:"challenge"` // the title, for the reader
	Entry     int    `json:"entry"`     // the public number
	Salt      Salt   `json:"salt"`
	Body      string `json:"body"` // the exact bytes committed to
	Leaf      int64  `json:"leaf"` // index in the ledger, from 0
	// Checkpoint is a signed checkpoint, and Proof shows the leaf in it.
	Checkpoint string `json:"checkpoint"`
	Proof      Proof  `json:"proof"`
}

// ErrSlip says that a text is not a slip.
var ErrSlip = errors.New("ledger: not an entry slip")

// Claim is one thing that was checked.
type Claim struct {
	What   string `json:"what"`
	Holds  bool   `json:"holds"`
	Detail string `json:"detail,omitempty"`
}

// Commitment returns the commitment that the slip opens.
func (s Slip) Commitment() Commitment { return Commit(s.Salt, []byte(s.Body)) }

// Encode returns the slip as canonical JSON.
func (s Slip) Encode() ([]byte, error) {
	if !utf8.ValidString(s.Body) {
		return nil, fmt.Errorf("%w: the body is not UTF-8", ErrSlip)
	}
	s.Version = SlipVersion
	if s.Proof == nil {
		s.Proof = Proof{}
	}
	return Canonical(s)
}

// ParseSlip reads a slip; it returns ErrSlip for anything else.
func ParseSlip(text []byte) (Slip, error) {
	var s Slip
	dec := json.NewDecoder(bytes.NewReader(text))
	dec.DisallowUnknownFields()
	if err := dec.Decode(&s); err != nil {
		return Slip{}, fmt.Errorf("%w: %w", ErrSlip, err)
	}
	if _, err := dec.Token(); err != io.EOF {
		return Slip{}, fmt.Errorf("%w: more follows after its end", ErrSlip)
	}
	if s.Version != SlipVersion {
		return Slip{}, fmt.Errorf("%w: version %d", ErrSlip, s.Version)
	}
	return s, nil
}

// Verify checks the slip by itself: its checkpoint against the ledger's public
// key, and its content against the checkpoint.
func (s Slip) Verify(key ed25519.PublicKey) []Claim {
	head, err := VerifyCheckpoint(s.Checkpoint, key)
	signed := Claim{What: "The checkpoint on the slip is signed with the ledger's key", Holds: err == nil}
	if err != nil {
		signed.Detail = err.Error()
		head, err = ParseCheckpoint(s.Checkpoint)
	} else {
		signed.Detail = fmt.Sprintf("%s, %d leaves, root %s", head.Origin, head.Size, head.Root)
	}
	if err != nil {
		return []Claim{signed}
	}
	c := s.Commitment()
	err = VerifyInclusion(s.Proof, head.Size, head.Root, s.Leaf, LeafHash(c[:]))
	stands := Claim{
		What:   "The ledger held exactly this content when the checkpoint was signed",
		Holds:  err == nil,
		Detail: fmt.Sprintf("leaf %d, commitment %s", s.Leaf, c),
	}
	if err != nil {
		stands.Detail += ": " + err.Error()
	}
	return []Claim{signed, stands}
}
