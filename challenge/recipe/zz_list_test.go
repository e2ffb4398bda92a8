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

func TestTimes(t *testing.T) {
	if os.Getenv("TIMES") == "" {
		t.Skip()
	}
	for _, f := range corpusFiles(t) {
		text := mustRead(t, f)
		b := Read(text)
		for _, s := range b.Steps() {
			r := &reader{lex: lexicon(), text: text, low: lowASCII(text)}
			toks := r.scan(s.At.Start, s.At.End)
			for i, k := range toks {
				isT := k.cls&isTime != 0 || r.word(toks, i) == "degrees" || k.c == 0xb0 || r.word(toks, i) == "oven" && os.Getenv("TIMES") == "o"
				if !isT {
					continue
				}
				in := false
				for _, d := range s.Durations {
					if k.s >= d.At.Start && k.e <= d.At.End {
						in = true
					}
				}
				for _, d := range s.Temperatures {
					if k.s >= d.At.Start && k.e <= d.At.End {
						in = true
					}
				}
				if in {
					continue
				}
				a, z := max(0, i-6), min(len(toks), i+5)
				fmt.Printf("MISS %s: %s\n", f[len(corpusRoot)+1:][:12], strings.Join(strings.Fields(text[toks[a].s:toks[z-1].e]), " "))
			}
			if os.Getenv("TIMES") == "t" {
				for _, d := range s.Temperatures {
					fmt.Printf("T %v %v %s %s | %.120q\n", d.Value, d.Max, d.Unit, d.Kind, text[max(0, d.At.Start-60):min(len(text), d.At.End+20)])
				}
			}
			if os.Getenv("TIMES") == "d" {
				for _, d := range s.Durations {
					fmt.Printf("D %v-%v %v%v%v | %q | %q\n", d.MinMinutes, d.MaxMinutes, d.Every, d.Keeps, d.Each, d.Text, text[max(0, d.At.Start-25):min(len(text), d.At.End+12)])
				}
			}
		}
	}
}
