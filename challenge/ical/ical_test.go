package ical_test

import (
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fairladle/challenge/ical"
)

// The example of RFC 5545, 3.3.11.
func TestEscapeFollowsTheRFC(t *testing.T) {
	require.Equal(t, `Project XYZ Final Review\nConference Room - 3B\nCome Prepared.`, ical.Escape("Project XYZ Final Review\nConference Room - 3B\nCome Prepared."))
	require.Equal(t, `a\,b\;c\\d`, ical.Escape("a,b;c\\d\x00"))
	require.Equal(t, "19980119T070000Z", ical.Time(time.Date(1998, 1, 19, 2, 0, 0, 0, time.FixedZone("", -5*3600))))
}

func TestLinesFoldAndUnfold(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := "SUMMARY:" + ical.Escape(rapid.String().Draw(t, "text"))
		var b ical.Text
		b.Line(s)
		for line := range strings.SplitSeq(strings.TrimSuffix(b.String(), "\r\n"), "\r\n") {
			if len(line) > 75 || !utf8.ValidString(line) {
				t.Fatalf("line %q", line)
			}
		}
		if got := strings.ReplaceAll(strings.TrimSuffix(b.String(), "\r\n"), "\r\n ", ""); got != s {
			t.Fatalf("%q became %q", s, got)
		}
	})
}
