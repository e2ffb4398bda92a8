package web

import (
	"context"
	"crypto/rand"
	"crypto/subtle"
	"encoding/base64"
	"fmt"
	"strings"
	"unicode/utf8"

	"github.com/trustelem/zxcvbn"
	"golang.org/x/crypto/argon2"

	"fairladle/challenge"
)

// The parameters of argon2id: RFC 9106 with the memory and passes that the
// OWASP password storage sheet names first (19 MiB, 2 passes, 1 lane; from
// memory).
const (
	argonMemory = 19 * 1024 // KiB
	argonPasses = 2
	argonLanes  = 1
	argonKey    = 32
	argonSalt   = 16
)

// MinPassword is the shortest password taken, in characters.
const MinPassword = 10

// A password is among those that programs try first where its zxcvbn score
// (0 to 4) is below guessedFirst, fewer than about a million guesses, or where
// less than unrelated characters are left of it without the names around it.
const (
	guessedFirst = 2
	unrelated    = 6
)

// CheckPassword refuses a password that is too short, far too long, or easily
// guessed: one of the lists of common passwords, or made of what stands
// around it, such as the host's or the site's name.
func CheckPassword(p string, about ...string) *challenge.Refusal {
	if n := utf8.RuneCountInString(p); n < MinPassword || n > 200 {
		return challenge.Refuse(challenge.Invalid, "password", "Choose a password of at least %v characters; a few words in a row do well.", MinPassword)
	}
	if guessed(p, about) {
		return challenge.Refuse(challenge.Invalid, "password", "This password is easily guessed: it is a common one, or made of a pattern or of names. A few unrelated words in a row do well.")
	}
	return nil
}

func guessed(p string, about []string) bool {
	var words []string
	left := strings.ToLower(p)
	for _, w := range strings.Fields(strings.ToLower(strings.Join(about, " "))) {
		words = append(words, w)
		if len(w) > 2 {
			left = strings.ReplaceAll(left, w, "")
		}
	}
	// Matching takes longer than in proportion to the length, and a long
	// password is not improved by its end.
	first := []rune(p)
	return utf8.RuneCountInString(left) < unrelated || zxcvbn.PasswordStrength(string(first[:min(len(first), 64)]), words).Score < guessedFirst
}

// HashPassword hashes with a fresh salt, in the PHC string form.
func HashPassword(p string) string {
	salt := make([]byte, argonSalt)
	rand.Read(salt) //nolint:errcheck // never fails, see crypto/rand
	key := argon2.IDKey([]byte(p), salt, argonPasses, argonMemory, argonLanes, argonKey)
	b64 := base64.RawStdEncoding
	return fmt.Sprintf("$argon2id$v=%d$m=%d,t=%d,p=%d$%s$%s", argon2.Version, argonMemory, argonPasses, argonLanes,
		b64.EncodeToString(salt), b64.EncodeToString(key))
}

// passwordFits compares in constant time. A hash that cannot be read fits
// nothing.
func passwordFits(hash, p string) bool {
	parts := strings.Split(hash, "$")
	if len(parts) != 6 || parts[1] != "argon2id" {
		return false
	}
	var memory, passes uint32
	var lanes uint8
	if _, err := fmt.Sscanf(parts[3], "m=%d,t=%d,p=%d", &memory, &passes, &lanes); err != nil {
		return false
	}
	salt, err1 := base64.RawStdEncoding.DecodeString(parts[4])
	want, err2 := base64.RawStdEncoding.DecodeString(parts[5])
	if err1 != nil || err2 != nil || len(want) == 0 {
		return false
	}
	got := argon2.IDKey([]byte(p), salt, passes, memory, lanes, uint32(len(want)))
	return subtle.ConstantTimeCompare(got, want) == 1
}

// nobodysHash is compared with when there is no such account, so that the
// answer takes as long.
var nobodysHash = HashPassword("nobody has this password")

// hashed runs one hashing at a time per slot: each takes 19 MiB.
func (s *Server) hashed(ctx context.Context, work func()) error {
	select {
	case s.hashing <- struct{}{}:
		defer func() { <-s.hashing }()
		work()
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}
