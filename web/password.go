package web

import (
	"context"
	"crypto/rand"
	"crypto/subtle"
	"encoding/base64"
	"fmt"
	"strings"
	"unicode/utf8"

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

// CheckPassword refuses a password that is too short or far too long.
func CheckPassword(p string) error {
	if n := utf8.RuneCountInString(p); n < MinPassword || n > 200 {
		return challenge.Refuse(challenge.Invalid, "password", "Choose a password of at least %v characters; a few words in a row do well.", MinPassword)
	}
	return nil
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
