package draw

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestRecordsVerify(t *testing.T) {
	for _, s := range samples() {
		t.Run(s.name, func(t *testing.T) {
			doc := build(t, s.plan, s.roster, s.events...)
			report := Verify(doc, Options{})
			require.True(t, report.Holds(), report.First())
			require.NotEmpty(t, report.CannotShow)
			p := NewProtocol(report.Record)
			require.NotEmpty(t, p.Lines)
		})
	}
}
