package recipe

import (
	"crypto/sha256"
	"fmt"
	"os"
	"strings"
	"testing"
)

func TestList(t *testing.T) {
	want := os.Getenv("LIST")
	if want == "" {
		t.Skip()
	}
	for _, f := range corpusFiles(t) {
		rel := strings.TrimPrefix(f, corpusRoot+"/")
		h := sha256.Sum256([]byte(rel))
		if !strings.Contains(want, string("ab"[h[0]&1])) {
			continue
		}
		text := mustRead(t, f)
		b := Read(text)
		for _, c := range b.Components {
			if c.Name != "" && strings.Contains(want, "h") {
				fmt.Printf("H %s: %q\n", rel, c.Name)
			}
			for _, in := range c.Ingredients {
				if !strings.Contains(want, "i") {
					continue
				}
				simple := in.Note == "" && in.Preparation == "" && in.Size == "" && !in.Amount.IsZero() && strings.Count(in.Name, " ") < 3 && !strings.Contains(in.Text, ",")
				if simple || in.Text == in.Name && strings.Count(in.Name, " ") < 2 || in.FromProse {
					continue
				}
				fmt.Printf("%s => %s|%s|%s| P:%s S:%s N:%s\n", in.Text, in.Amount, in.Unit, in.Name, in.Preparation, in.Size, in.Note)
			}
		}
	}
}
