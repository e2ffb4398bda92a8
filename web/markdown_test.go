package web

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestProseLetsNothingHarmfulThrough(t *testing.T) {
	for _, typed := range []string{
		"<script>alert(1)</script>", "<img src=x onerror=alert(1)>", "[a](javascript:alert(1))", "[a](data:text/html,<script>alert(1)</script>)",
		"![p](https://elsewhere.example/pixel.png)", "<iframe src=//elsewhere.example></iframe>", "<p style=\"position:fixed\">x</p>",
		"<a href=\"vbscript:x\">x</a>", "<form action=//elsewhere.example><input></form>", "<svg/onload=alert(1)>", "[a]: javascript:alert(1)\n\n[a]",
	} {
		shown := strings.ToLower(string(prose(typed)))
		for _, harm := range []string{"<script", "<img", "<iframe", "<form", "<svg", "onerror=", "style=", "href=\"javascript:", "href=\"data:", "href=\"vbscript:"} {
			require.NotContains(t, shown, harm, typed)
		}
	}
	require.Contains(t, string(prose("Roll something *green*.\n\n- one\n- two")), "<em>green</em>")
}
