package web

import (
	"net"
	"net/http"
	"net/url"
	"strings"

	"fairladle/web/text"
	"fairladle/web/views"
)

// atHome refuses requests for another name than the site's own: a name that
// somebody else points here (DNS rebinding) must not reach a host's session,
// and no page may be built on it. This machine may always be asked by its
// loopback names, so that a wrong public address locks nobody out.
func (s *Server) atHome(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		st := site(r)
		if !st.SetUpAt.IsZero() && !s.ours(r, st.PublicURL) {
			f := views.Frame{Title: text.T(r.Context(), "Another address"), Site: st.Name, Language: text.From(r.Context()).Tag.String(), Quiet: true}
			s.show(w, r, http.StatusMisdirectedRequest, views.Elsewhere(views.ElsewherePage{Frame: f, Address: st.PublicURL}))
			return
		}
		next.ServeHTTP(w, r)
	})
}

func (s *Server) ours(r *http.Request, public string) bool {
	name := hostname(r.Host)
	if u, err := url.Parse(public); err == nil && strings.EqualFold(name, u.Hostname()) {
		return true
	}
	for _, n := range s.config.Names {
		if strings.EqualFold(name, n) {
			return true
		}
	}
	return onlyHere(name)
}

// hostname is a Host header's name, without its port and brackets.
func hostname(hostport string) string {
	if name, _, err := net.SplitHostPort(hostport); err == nil {
		return name
	}
	return strings.Trim(hostport, "[]")
}
