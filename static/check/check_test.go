package check

import (
	"context"
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fairladle/challenge/draw"
	"fairladle/challenge/ledger"
)

// program returns the path of a program, or skips the test and says so.
func program(t *testing.T, name string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		t.Skipf("%s is not installed here, so the check scripts were not run in it", name)
	}
	return path
}

// chromium is for the tests called TestBrowser, which run by name.
func chromium(t *testing.T) string {
	t.Helper()
	if os.Getenv("FAIRLADLE_BROWSER") != "required" {
		t.Skip("browser tests run with FAIRLADLE_BROWSER=required")
	}
	path, err := exec.LookPath("chromium")
	require.NoError(t, err, "FAIRLADLE_BROWSER=required, and chromium is not installed here")
	return path
}

func records(t *testing.T) []string {
	t.Helper()
	all, err := filepath.Glob("../../challenge/draw/testdata/records/*.json")
	require.NoError(t, err)
	require.NotEmpty(t, all)
	return all
}

func TestHashesAgainstPublishedValues(t *testing.T) {
	out, err := exec.Command(program(t, "node"), "testdata/run.js", "vectors").CombinedOutput()
	require.NoError(t, err, string(out))
	require.Equal(t, "vectors hold\n", string(out))
}

// page is a check page as a site or a static export would write it.
func page(t *testing.T, record []byte) string {
	t.Helper()
	var b strings.Builder
	b.WriteString(`<!doctype html><meta charset="utf-8"><title>Check</title><div id="check-steps"></div>`)
	fmt.Fprintf(&b, `<script type="application/json" id="record">%s</script>`, draw.Inline(record))
	for _, s := range Scripts {
		fmt.Fprintf(&b, `<script src=%q></script>`, s)
	}
	return b.String()
}

// shown returns what a browser makes of the page at an address.
func shown(t *testing.T, browser, address string) string {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), time.Minute)
	defer cancel()
	out, err := exec.CommandContext(ctx, browser, "--headless", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage",
		"--user-data-dir="+t.TempDir(), "--virtual-time-budget=20000", "--dump-dom", address).Output()
	require.NoError(t, err)
	return string(out)
}

const allHolds = "Everything that can be checked here holds."

// From a file, as in the static export.
func TestBrowserOpensThePageFromAFile(t *testing.T) {
	browser := chromium(t)
	dir := t.TempDir()
	for _, s := range Scripts {
		text, err := Files.ReadFile(s)
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(filepath.Join(dir, s), text, 0o644))
	}
	record, err := os.ReadFile("../../challenge/draw/testdata/records/rehearsal.json")
	require.NoError(t, err)
	file := filepath.Join(dir, "check.html")
	require.NoError(t, os.WriteFile(file, []byte(page(t, record)), 0o644))
	out := shown(t, browser, "file://"+file)
	require.Contains(t, out, allHolds)
	require.Contains(t, out, "This was a rehearsal on a made-up list; it decides nothing.")

	changed := strings.Replace(string(record), `"dice":[20],"kind"`, `"dice":[1],"kind"`, 1)
	require.NotEqual(t, string(record), changed)
	require.NoError(t, os.WriteFile(file, []byte(page(t, []byte(changed))), 0o644))
	out = shown(t, browser, "file://"+file)
	require.NotContains(t, out, allHolds)
	require.Contains(t, out, "Does not hold: The result follows from the steps (the result should be 1)")
}

// From plain http under a strict policy, and without asking the server again.
func TestBrowserOpensThePageUnderStrictPolicy(t *testing.T) {
	browser := chromium(t)
	record, err := os.ReadFile("../../challenge/draw/testdata/records/seeds-whole-order.json")
	require.NoError(t, err)
	asked := make(chan string, 100)
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		asked <- r.URL.Path
		w.Header().Set("Content-Security-Policy", "default-src 'none'; script-src 'self'; require-trusted-types-for 'script'")
		if r.URL.Path == "/" {
			fmt.Fprint(w, page(t, record))
			return
		}
		http.ServeFileFS(w, r, Files, strings.TrimPrefix(r.URL.Path, "/"))
	}))
	defer server.Close()
	out := shown(t, browser, server.URL+"/")
	require.Contains(t, out, allHolds)
	require.Contains(t, out, "Place 7: ")
	close(asked)
	for path := range asked {
		require.Contains(t, []string{"/", "/hash.js", "/record.js", "/draw.js", "/check.js", "/favicon.ico"}, path)
	}
}

// The scripts may use nothing that a strict policy or plain http takes away.
func TestScriptsAskForNothing(t *testing.T) {
	for _, s := range Scripts {
		text, err := Files.ReadFile(s)
		require.NoError(t, err)
		for _, bad := range []string{"eval(", "new Function", "innerHTML", "fetch(", "XMLHttpRequest", "subtle.", "import(", "import ", "export ", "http:", "https:"} {
			require.NotContains(t, string(text), bad, s)
		}
	}
}

func TestRecordsHoldUnderNode(t *testing.T) {
	all := records(t)
	out, err := exec.Command(program(t, "node"), append([]string{"testdata/run.js", "records"}, all...)...).CombinedOutput()
	require.NoError(t, err, string(out))
	require.Equal(t, len(all), strings.Count(string(out), "HOLDS "), string(out))
}

// What an entrant kept is compared without asking the server.
func TestKeptSlipAndHead(t *testing.T) {
	node := program(t, "node")
	const name = "../../challenge/draw/testdata/records/dice-two-finalists.json"
	doc, err := os.ReadFile(name)
	require.NoError(t, err)
	rec, err := draw.Parse(doc)
	require.NoError(t, err)
	head, err := ledger.ParseCheckpoint(rec.Ledger.Checkpoint)
	require.NoError(t, err)
	early := rec.Ledger.Earlier[0]
	slip := ledger.Slip{Entry: 17, Salt: ledger.Salt{17}, Body: `{"entry":17}`, Checkpoint: rec.Ledger.Checkpoint}
	text, err := slip.Encode()
	require.NoError(t, err)
	other := slip
	other.Body = `{"entry":99}`
	changed, err := other.Encode()
	require.NoError(t, err)

	const inList, sameLedger = "No. 17 is in the list fixed on 2026-12-01T12:10:00Z, unaltered", "The ledger of this record is the one you kept a head of"
	for _, c := range []struct {
		kept string
		says []string
	}{
		{string(text), []string{"Holds: " + inList, "Holds: " + sameLedger}},
		{string(changed), []string{"Does not hold: " + inList, "Holds: " + sameLedger}},
		{rec.Ledger.Checkpoint, []string{"Holds: " + sameLedger}},
		{fmt.Sprintf("%d %s", head.Size, head.Root), []string{"Holds: " + sameLedger}},
		{fmt.Sprintf("%d %s", early.Size, early.Root), []string{"Holds: " + sameLedger}},
		{fmt.Sprintf("%d %s", early.Size, head.Root), []string{"Does not hold: " + sameLedger}},
		{fmt.Sprintf("2 %s", head.Root), []string{"Cannot be told from this record: " + sameLedger, "ask for the proof"}},
		{"something else", []string{"This is neither an entry slip nor a head of a ledger."}},
		{"{}", []string{"This is neither an entry slip nor a head of a ledger."}},
	} {
		out, err := exec.Command(node, "testdata/run.js", "kept", name, c.kept).CombinedOutput()
		require.NoError(t, err, string(out))
		for _, want := range c.says {
			require.Contains(t, string(out), want, c.kept)
		}
	}
}
