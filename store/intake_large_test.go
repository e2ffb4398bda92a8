package store

import (
	"bytes"
	"encoding/base64"
	"fmt"
	"os"
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fairladle/challenge/intake"
)

// A mailbox of 200 mails with a picture of 220 KB each, as the page gets it.
// It takes some seconds: FAIRLADLE_LONG=1 runs it.
func TestImportOfALargeMailbox(t *testing.T) {
	if os.Getenv("FAIRLADLE_LONG") == "" {
		t.Skip("set FAIRLADLE_LONG=1 to bring in a mailbox of 60 MB")
	}
	b := openBench(t)
	c := b.open()
	picture := base64.StdEncoding.EncodeToString(append([]byte("\xff\xd8\xff\xe0"), bytes.Repeat([]byte{9}, 220<<10)...))
	var lines strings.Builder
	for i := 0; i < len(picture); i += 76 {
		lines.WriteString(picture[i:min(i+76, len(picture))] + "\n")
	}
	var box strings.Builder
	for i := range 200 {
		fmt.Fprintf(&box, "From x Mon Nov  2 10:00:00 2026\nFrom: Cook%d <cook%d@example.org>\nMessage-ID: <%d@example.org>\nSubject: Soup %d\nContent-Type: multipart/mixed; boundary=b\n\n--b\nContent-Type: text/plain\n\n%s\n--b\nContent-Type: image/jpeg; name=a.jpg\nContent-Transfer-Encoding: base64\n\n%s--b--\n\n",
			i, i, i, i, submission(i).Text, lines.String())
	}
	began := time.Now()
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	id := b.stageBox(c, []byte(box.String()))
	runtime.ReadMemStats(&after)
	i, _, err := b.DB.Import(t.Context(), b.host, c.ID, id)
	require.NoError(t, err)
	require.Equal(t, 200, i.Entries+i.Doubtful)
	t.Logf("%d MB previewed in %v; %d MB allocated in all, heap from the system %d MB", box.Len()>>20, time.Since(began).Round(time.Millisecond),
		(after.TotalAlloc-before.TotalAlloc)>>20, after.HeapSys>>20)
	began = time.Now()
	b.choose(c, id, intake.Entry, intake.Doubtful)
	n := b.makeSome(500)
	t.Logf("%d entries made in %v, without cleaning pictures", n, time.Since(began).Round(time.Millisecond))
	require.Equal(t, 200, n)
}
