package ledger

import (
	"crypto/ed25519"
	"crypto/sha256"
	"encoding/base64"
	"encoding/binary"
	"encoding/hex"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/mod/sumdb/note"
)

// Checkpoint is the state of one ledger: how many leaves it has and their
// root. Whoever keeps one can show later that nothing before it was changed.
type Checkpoint struct {
	// Origin names the ledger, without blanks or plus signs; it is also the
	// name under which the checkpoint is signed.
	Origin string
	Size   int64
	Root   Hash
}

var (
	// ErrCheckpoint says that a text is not a checkpoint.
	ErrCheckpoint = errors.New("ledger: not a checkpoint")
	// ErrSignature says that a checkpoint is not signed by the key given.
	ErrSignature = errors.New("ledger: not signed by this key")
	// ErrKey says that a text or value is not an Ed25519 key.
	ErrKey = errors.New("ledger: not an Ed25519 key")
)

// Text returns the three lines that are signed: origin, size in decimal, root
// in base64 (the body of a C2SP tlog-checkpoint).
func (c Checkpoint) Text() string {
	return c.Origin + "\n" + strconv.FormatInt(c.Size, 10) + "\n" +
		base64.StdEncoding.EncodeToString(c.Root[:]) + "\n"
}

// Sign returns the checkpoint as a signed note (C2SP signed-note, Ed25519): its
// text, an empty line, and one signature line.
func (c Checkpoint) Sign(key ed25519.PrivateKey) (string, error) {
	if !originOK(c.Origin) {
		return "", fmt.Errorf("%w: origin %q", ErrCheckpoint, c.Origin)
	}
	if len(key) != ed25519.PrivateKeySize {
		return "", ErrKey
	}
	msg, err := note.Sign(&note.Note{Text: c.Text()}, signer{c.Origin, key})
	return string(msg), wrap(err)
}

// VerifyCheckpoint reads a signed checkpoint and checks its signature against
// the key. It returns ErrCheckpoint, ErrKey or ErrSignature.
func VerifyCheckpoint(signed string, key ed25519.PublicKey) (Checkpoint, error) {
	c, err := ParseCheckpoint(signed)
	if err != nil {
		return Checkpoint{}, err
	}
	if len(key) != ed25519.PublicKeySize {
		return Checkpoint{}, ErrKey
	}
	n, err := note.Open([]byte(signed), note.VerifierList(verifier{c.Origin, key}))
	if err != nil || n.Text != c.Text() {
		return Checkpoint{}, ErrSignature
	}
	return c, nil
}

// ParseCheckpoint reads a checkpoint, signed or not, without checking any
// signature.
func ParseCheckpoint(text string) (Checkpoint, error) {
	lines := strings.SplitN(text, "\n", 4)
	if len(lines) != 4 || !originOK(lines[0]) {
		return Checkpoint{}, ErrCheckpoint
	}
	size, err := strconv.ParseInt(lines[1], 10, 64)
	if err != nil || size < 0 {
		return Checkpoint{}, ErrCheckpoint
	}
	root, err := base64.StdEncoding.DecodeString(lines[2])
	if err != nil || len(root) != len(Hash{}) {
		return Checkpoint{}, ErrCheckpoint
	}
	c := Checkpoint{Origin: lines[0], Size: size, Root: Hash(root)}
	if !strings.HasPrefix(text, c.Text()) {
		return Checkpoint{}, ErrCheckpoint
	}
	return c, nil
}

// ParseHead reads a head that someone kept: a checkpoint, an entry slip (whose
// checkpoint it takes), or the size and the root in hex with a blank between. It
// checks no signature. It returns ErrCheckpoint.
func ParseHead(text string) (Checkpoint, error) {
	if slip, err := ParseSlip([]byte(text)); err == nil {
		text = slip.Checkpoint
	}
	if c, err := ParseCheckpoint(text); err == nil {
		return c, nil
	}
	fields := strings.Fields(text)
	if len(fields) != 2 {
		return Checkpoint{}, ErrCheckpoint
	}
	var c Checkpoint
	var err error
	if c.Size, err = strconv.ParseInt(fields[0], 10, 64); err != nil || c.Size < 0 || c.Root.UnmarshalText([]byte(fields[1])) != nil {
		return Checkpoint{}, ErrCheckpoint
	}
	return c, nil
}

// ParseKey reads an Ed25519 public key written as 64 hex digits, as base64 of
// 32 bytes, or as a note verifier key (name+hash+base64). It returns ErrKey.
func ParseKey(text string) (ed25519.PublicKey, error) {
	text = strings.TrimSpace(text)
	if key, err := hex.DecodeString(text); err == nil && len(key) == ed25519.PublicKeySize {
		return key, nil
	}
	if parts := strings.SplitN(text, "+", 3); len(parts) == 3 {
		key, err := base64.StdEncoding.DecodeString(parts[2])
		if err == nil && len(key) == 1+ed25519.PublicKeySize && key[0] == algorithmEd25519 {
			return key[1:], nil
		}
	}
	if key, err := base64.StdEncoding.DecodeString(text); err == nil && len(key) == ed25519.PublicKeySize {
		return key, nil
	}
	return nil, ErrKey
}

// algorithmEd25519 is the signature type byte of C2SP signed-note.
const algorithmEd25519 = 1

// keyHash is the key ID of C2SP signed-note: the first four bytes of
// SHA-256(name || 0x0A || 0x01 || key), big-endian.
func keyHash(name string, key ed25519.PublicKey) uint32 {
	sum := sha256.Sum256(append([]byte(name+"\n\x01"), key...))
	return binary.BigEndian.Uint32(sum[:])
}

func originOK(origin string) bool {
	return origin != "" && utf8.ValidString(origin) && !strings.Contains(origin, "+") &&
		!strings.ContainsFunc(origin, func(r rune) bool { return unicode.IsSpace(r) || unicode.IsControl(r) })
}

type signer struct {
	name string
	key  ed25519.PrivateKey
}

func (s signer) Name() string                    { return s.name }
func (s signer) KeyHash() uint32                 { return keyHash(s.name, s.key.Public().(ed25519.PublicKey)) }
func (s signer) Sign(msg []byte) ([]byte, error) { return ed25519.Sign(s.key, msg), nil }

type verifier struct {
	name string
	key  ed25519.PublicKey
}

func (v verifier) Name() string                { return v.name }
func (v verifier) KeyHash() uint32             { return keyHash(v.name, v.key) }
func (v verifier) Verify(msg, sig []byte) bool { return ed25519.Verify(v.key, msg, sig) }
