package web_test

import (
	"context"
	"encoding/base64"
	"fmt"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// All pictures of a mail come along, the entry says where it came from, and
// both go when its sender is erased.
func TestPicturesAndOriginComeAlong(t *testing.T) {
	l := newLive(t)
	host := l.setUp()
	slug := l.challenge(host)
	desk := "/host/c/" + slug
	var mail strings.Builder
	mail.WriteString("From: Ada Rowan <ada@example.net>\nMessage-ID: <p@example.net>\nDate: Mon, 02 Nov 2026 10:00:00 +0000\nSubject: With pictures\nContent-Type: multipart/mixed; boundary=b\n\n--b\nContent-Type: text/plain\n\n" + recipeText(3) + "\n")
	for n := range 3 {
		fmt.Fprintf(&mail, "--b\nContent-Type: image/jpeg; name=p%d.jpg\nContent-Transfer-Encoding: base64\n\n%s\n", n, wrapped(base64.StdEncoding.EncodeToString([]byte(jpegNumber(t, uint64(n+10))))))
	}
	mail.WriteString("--b--\n")
	g := host.upload(desk+"/import", nil, "one.eml", mail.String()).ok().says("3 photos", "all come along")
	g.tickAll().send().ok()
	require.Equal(t, 1, l.make())

	page := host.get(desk + "/entries/1").ok().says("Brought in from one.eml, sent")
	photos := regexp.MustCompile(`src="(/photo/[0-9a-f]{64})`).FindAllStringSubmatch(page.body, -1)
	require.Len(t, photos, 3)
	for _, p := range photos {
		host.get(p[1]).ok()
	}
	ms, err := l.db.Waiting(context.Background(), 10)
	require.NoError(t, err)
	require.Contains(t, l.person().get("/entry/"+ms[0].Token).ok().body, photos[2][1])

	host.get(desk+"/entries/1/erase").ok().form("agree").set("agree", "erase").send().ok()
	for _, p := range photos {
		host.get(p[1]).is(404)
	}
	host.get(desk+"/entries/1").hides("Brought in from", "one.eml")
}

func wrapped(s string) string {
	var b strings.Builder
	for i := 0; i < len(s); i += 76 {
		b.WriteString(s[i:min(i+76, len(s))] + "\n")
	}
	return b.String()
}
