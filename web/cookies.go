package web

import (
	"net/http"
	"strings"
)

// On a site with an https address every cookie is marked Secure and carries a
// prefix by which browsers refuse it from another host or over plain http
// (RFC 6265bis, section 4.1.3). Inside the server cookies have their plain
// names.
const (
	hostPrefix   = "__Host-"
	securePrefix = "__Secure-"
)

// ownCookies is a request's Cookie header with the plain names of the cookies
// that carry a prefix; any other cookie could be another site's and is left
// out.
func ownCookies(r *http.Request) {
	cookies := r.Cookies()
	r.Header.Del("Cookie")
	for _, c := range cookies {
		name, ours := strings.CutPrefix(c.Name, hostPrefix)
		if !ours {
			name, ours = strings.CutPrefix(c.Name, securePrefix)
		}
		if ours && name != "" {
			r.AddCookie(&http.Cookie{Name: name, Value: c.Value}) //nolint:gosec // a request's cookie has no attributes
		}
	}
}

// sealedCookies gives every cookie that is set its prefix and Secure.
type sealedCookies struct {
	http.ResponseWriter
	wrote bool
}

func (w *sealedCookies) WriteHeader(status int) {
	if !w.wrote {
		w.wrote = true
		cookies := w.Header()["Set-Cookie"]
		for i, c := range cookies {
			prefix := securePrefix
			if strings.Contains(c+";", "; Path=/;") && !strings.Contains(c, "; Domain=") {
				prefix = hostPrefix
			}
			cookies[i] = prefix + c + "; Secure"
		}
	}
	w.ResponseWriter.WriteHeader(status)
}

func (w *sealedCookies) Write(b []byte) (int, error) {
	if !w.wrote {
		w.WriteHeader(http.StatusOK)
	}
	return w.ResponseWriter.Write(b)
}

// Unwrap lets http.ResponseController reach the connection.
func (w *sealedCookies) Unwrap() http.ResponseWriter { return w.ResponseWriter }
