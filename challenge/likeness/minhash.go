package likeness

import "encoding/binary"

// Hashes is the length of a signature. The standard error of its likeness is at
// most 1/(2·sqrt(256)), 0.031.
const Hashes = 256

// Signature is the MinHash of a feature set: for each of Hashes hash functions
// the least value over the set (Broder 1997; Leskovec, Rajaraman, Ullman, Mining
// of Massive Datasets, ch. 3). The share of equal places estimates the Jaccard
// likeness of the sets.
type Signature [Hashes]uint32

// Sign computes the signature; the empty set has all places at their maximum.
func Sign(set Features) Signature {
	var s Signature
	for i := range s {
		s[i] = ^uint32(0)
	}
	for _, x := range set {
		// Each 64-bit value gives two hash functions of 32 bits.
		for i := 0; i < Hashes; i += 2 {
			h := mix(x ^ seeds[i/2])
			s[i] = min(s[i], uint32(h))
			s[i+1] = min(s[i+1], uint32(h>>32))
		}
	}
	return s
}

// seeds tell the hash functions apart; they are fixed, since signatures are
// stored.
var seeds = func() (out [Hashes / 2]uint64) {
	for i := range out {
		out[i] = mix(uint64(i) * 0x6a09e667f3bcc909)
	}
	return out
}()

// Like estimates the likeness of the signed sets, 0 to 1.
func (s *Signature) Like(t *Signature) float64 {
	same := 0
	for i := range s {
		if s[i] == t[i] {
			same++
		}
	}
	return float64(same) / Hashes
}

// Bytes writes the signature for storage, little endian, 4 bytes a place.
func (s *Signature) Bytes() []byte {
	out := make([]byte, 0, 4*Hashes)
	for _, v := range s {
		out = binary.LittleEndian.AppendUint32(out, v)
	}
	return out
}

// ParseSignature reads what Bytes wrote; ok is false for another length.
func ParseSignature(b []byte) (s Signature, ok bool) {
	if len(b) != 4*Hashes {
		return s, false
	}
	for i := range s {
		s[i] = binary.LittleEndian.Uint32(b[4*i:])
	}
	return s, true
}
