package draw

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// program returns the path of a program, or skips the test and says so.
func program(t *testing.T, name string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		t.Skipf("%s is not installed here, so what is written in it was not run", name)
	}
	return path
}

// The checkers in Python and in the browser's language, both written from
// RECORD.md, agree on records of all methods and on altered ones: every eleventh
// alteration that TestTamperingIsFound tries, or each with FAIRLADLE_LONG=1 in
// the environment.
func TestOtherCheckersAgree(t *testing.T) {
	files, want := alteredFiles(t)
	for name, args := range map[string][]string{
		"python3": {filepath.Join("testdata", "verify.py"), "--brief"},
		"node":    {filepath.Join("..", "..", "static", "check", "testdata", "run.js"), "records"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			out, _ := exec.Command(program(t, name), append(args, files...)...).CombinedOutput()
			lines := strings.Split(strings.TrimSpace(string(out)), "\n")
			require.Len(t, lines, len(want), string(out[max(0, len(out)-2000):]))
			for i, line := range lines {
				require.True(t, strings.HasPrefix(line, want[i]), "%s\nwanted %s", line, want[i])
			}
			t.Logf("%d records, altered ones among them", len(lines))
		})
	}
}

// alteredFiles returns the records of all samples, altered ones of the smaller,
// and forged ones that break a single rule, and what a checker must say of each.
func alteredFiles(t *testing.T) (files, want []string) {
	dir, every := t.TempDir(), 11
	if long() {
		every = 1
	}
	for _, s := range samples() {
		files, want = append(files, recordFile(s.name)), append(want, "HOLDS "+recordFile(s.name))
		if len(s.roster) > 30 {
			continue
		}
		n := 0
		for where, changed := range tampered(t, build(t, s.plan, s.roster, s.events...)) {
			if n++; n%every != 0 {
				continue
			}
			name := filepath.Join(dir, fmt.Sprintf("%s-%d-%s", strings.ReplaceAll(s.name, " ", "-"), n, strings.Map(fileLetter, where)))
			require.NoError(t, os.WriteFile(name, changed, 0o644))
			files, want = append(files, name), append(want, "WRONG "+name)
		}
	}
	for i, f := range forged {
		name := filepath.Join(dir, fmt.Sprintf("forged-%d-%s", i, strings.Map(fileLetter, f.rule)))
		require.NoError(t, os.WriteFile(name, forge(t, sampleNamed(t, f.of), f.change), 0o644))
		files, want = append(files, name), append(want, "WRONG "+name)
	}
	return files, want
}

func fileLetter(r rune) rune {
	if strings.ContainsRune("abcdefghijklmnopqrstuvwxyz_.0123456789", r) {
		return r
	}
	return '-'
}

// Its exit status tells, for scripts.
func TestPythonVerifierHolds(t *testing.T) {
	t.Parallel()
	python := program(t, "python3")
	args := []string{filepath.Join("testdata", "verify.py")}
	for _, s := range samples() {
		args = append(args, recordFile(s.name))
	}
	out, err := exec.Command(python, args...).CombinedOutput()
	require.NoError(t, err, string(out))
	require.Contains(t, string(out), "It cannot show")

	name := filepath.Join(t.TempDir(), "record.json")
	require.NoError(t, os.WriteFile(name, []byte("{}"), 0o644))
	out, err = exec.Command(python, append(args, name)...).CombinedOutput()
	require.ErrorContains(t, err, "exit status 1", string(out))
}

// The script does a draw by dice again with a shell and a hash tool.
func TestShellRedoesDice(t *testing.T) {
	t.Parallel()
	sh := program(t, "sh")
	program(t, "sha256sum")
	for _, s := range samples() {
		out, err := exec.Command(sh, filepath.Join("testdata", "dice.sh"), recordFile(s.name)).CombinedOutput()
		if s.plan.Method != ByDice {
			require.ErrorContains(t, err, "exit status 2", s.name)
			continue
		}
		require.NoError(t, err, "%s: %s", s.name, out)
		state, err := Replay(s.plan, s.roster, s.events)
		require.NoError(t, err)
		if state.Void {
			require.Contains(t, string(out), "declared void")
			continue
		}
		require.Contains(t, string(out), "the rolls give "+strings.ReplaceAll(joined(state.Result), " ", ",")+"\n")
	}
}

func TestShellFindsChanges(t *testing.T) {
	t.Parallel()
	sh := program(t, "sh")
	program(t, "sha256sum")
	doc, err := os.ReadFile(recordFile("dice, two finalists"))
	require.NoError(t, err)
	for _, c := range []struct{ old, new, says string }{
		{`"dice":[13]`, `"dice":[3]`, "the result should be 17"},
		{`"dice":[13]`, `"dice":[14]`, "event 1 does not stand in the ledger"},
		{`"dice":[13]`, `"dice":[21]`, "a face the die does not have"},
		{`"result":[42]`, `"result":[17]`, "the result should be 42"},
		{`"result":[42]`, `"result":[]`, "the result should be 42"},
		{`"weight":1}],"steps"`, `"weight":2}],"steps"`, "the plan names another list"},
		{`"commitment":"e0`, `"commitment":"e1`, "the plan names another list"},
		{`"places":1`, `"places":2`, "the result should be 42,17"},
		{`"challenge":"Winter pies"`, `"challenge":"Summer pies"`, "the plan does not stand in the ledger"},
		{`"by":"co-host"`, `"by":"judge"`, "event 2 does not stand in the ledger"},
		{`"version":1,"void":false`, `"version":1,"void":true`, "a void draw has a result"},
	} {
		changed := bytes.Replace(doc, []byte(c.old), []byte(c.new), 1)
		require.NotEqual(t, string(doc), string(changed), c.old)
		name := filepath.Join(t.TempDir(), "record.json")
		require.NoError(t, os.WriteFile(name, changed, 0o644))
		out, err := exec.Command(sh, filepath.Join("testdata", "dice.sh"), name).CombinedOutput()
		require.ErrorContains(t, err, "exit status 1", "%s: %s", c.new, out)
		require.Contains(t, string(out), c.says)
	}
}
