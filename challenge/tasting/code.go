package tasting

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
)

// ErrCodes is returned for more plates than there are codes.
var ErrCodes = errors.New("there are not enough three-digit codes for so many plates")

// Codes draws n distinct blind codes between 100 and 999 from random, whose
// bytes must be uniform. It avoids codes that look alike or mean something: no
// code with two equal digits beside each other or digits in a row (123, 987),
// none that reads as a number upside down, none that a cook or a guest may know
// (112, 911, ...). Up to 24 codes differ from each other in at least two places
// and are no rearrangements of each other; beyond that they are only distinct.
func Codes(n int, random io.Reader) ([]int, error) {
	var plain []int
	for c := 100; c <= 999; c++ {
		if !confusing(c) {
			plain = append(plain, c)
		}
	}
	if n > len(plain) {
		return nil, fmt.Errorf("%d plates: %w", n, ErrCodes)
	}
	if err := shuffle(plain, random); err != nil {
		return nil, err
	}
	if n > farApart {
		return plain[:n], nil
	}
	var codes []int
	for _, c := range plain {
		if len(codes) < n && apartFromAll(c, codes) {
			codes = append(codes, c)
		}
	}
	if len(codes) < n {
		return nil, fmt.Errorf("%d plates: %w", n, ErrCodes)
	}
	return codes, nil
}

const farApart = 24

func confusing(code int) bool {
	d := threeDigits(code)
	switch {
	case d[0] == d[1] || d[1] == d[2]:
		return true
	case d[1]-d[0] == d[2]-d[1] && (d[1]-d[0] == 1 || d[1]-d[0] == -1):
		return true
	}
	upsideDown := true
	for _, x := range d {
		upsideDown = upsideDown && (x == 0 || x == 1 || x == 6 || x == 8 || x == 9)
	}
	return upsideDown || code == 420 || code == 404
}

func apartFromAll(code int, codes []int) bool {
	a := threeDigits(code)
	for _, other := range codes {
		b := threeDigits(other)
		differ := 0
		for k := range a {
			if a[k] != b[k] {
				differ++
			}
		}
		if differ < 2 || sorted(a) == sorted(b) {
			return false
		}
	}
	return true
}

func threeDigits(code int) [3]int { return [3]int{code / 100, code / 10 % 10, code % 10} }

func sorted(d [3]int) [3]int {
	if d[0] > d[1] {
		d[0], d[1] = d[1], d[0]
	}
	if d[1] > d[2] {
		d[1], d[2] = d[2], d[1]
	}
	if d[0] > d[1] {
		d[0], d[1] = d[1], d[0]
	}
	return d
}

// shuffle is Fisher and Yates's, with unbiased integers.
func shuffle(x []int, random io.Reader) error {
	for n := len(x) - 1; n > 0; n-- {
		k, err := below(uint32(n+1), random)
		if err != nil {
			return err
		}
		x[n], x[k] = x[k], x[n]
	}
	return nil
}

// below is a uniform integer in 0..n-1: numbers of the incomplete last
// stretch of the 32-bit range are thrown away.
func below(n uint32, random io.Reader) (uint32, error) {
	limit := uint64(1<<32) / uint64(n) * uint64(n)
	for {
		var b [4]byte
		if _, err := io.ReadFull(random, b[:]); err != nil {
			return 0, fmt.Errorf("random bytes for codes: %w", err)
		}
		if v := binary.BigEndian.Uint32(b[:]); uint64(v) < limit {
			return v % n, nil
		}
	}
}
