package web

import (
	"encoding/json"
	"errors"
	"net/http"
	"net/netip"
	"net/url"
	"strconv"
	"strings"
	"time"

	"github.com/go-chi/chi/v5"
	"github.com/go-webauthn/webauthn/protocol"
	"github.com/go-webauthn/webauthn/webauthn"

	"fairladle/challenge"
	"fairladle/store"
)

// Passkeys (Web Authentication, W3C) are a host's second way in, and one that
// no password can be guessed or phished from. Each asks the person for a PIN,
// a finger or a face, so that it is two factors in one.

// takesPasskeys says whether browsers make passkeys for an address: it needs a
// name, and https except on this machine.
func takesPasskeys(address string) bool {
	u, err := url.Parse(address)
	if err != nil || u.Hostname() == "" {
		return false
	}
	if _, err := netip.ParseAddr(u.Hostname()); err == nil {
		return false
	}
	return u.Scheme == "https" || onlyHere(u.Hostname())
}

func (s *Server) relyingParty(r *http.Request) (*webauthn.WebAuthn, error) {
	st := site(r)
	u, err := url.Parse(st.PublicURL)
	if err != nil || !takesPasskeys(st.PublicURL) {
		return nil, challenge.NotFound("This site takes no passkeys: its address has no name, or is not https.")
	}
	wait := webauthn.TimeoutConfig{Enforce: true, Timeout: 5 * time.Minute, TimeoutUVD: 5 * time.Minute}
	return webauthn.New(&webauthn.Config{RPID: u.Hostname(), RPDisplayName: st.Name, RPOrigins: []string{st.PublicURL},
		AttestationPreference:  protocol.PreferNoAttestation,
		AuthenticatorSelection: protocol.AuthenticatorSelection{ResidentKey: protocol.ResidentKeyRequirementRequired, UserVerification: protocol.VerificationRequired},
		Timeouts:               webauthn.TimeoutsConfig{Login: wait, Registration: wait}})
}

// A keyholder is a host as the library sees one.
type keyholder struct {
	host store.Host
	keys []webauthn.Credential
}

func (k keyholder) WebAuthnID() []byte                         { return []byte("host " + strconv.FormatInt(k.host.ID, 10)) }
func (k keyholder) WebAuthnName() string                       { return k.host.Name }
func (k keyholder) WebAuthnDisplayName() string                { return k.host.Name }
func (k keyholder) WebAuthnCredentials() []webauthn.Credential { return k.keys }

func (s *Server) keyholder(r *http.Request, host int64) (keyholder, error) {
	h, err := s.db.Host(r.Context(), host)
	if err != nil {
		return keyholder{}, err
	}
	k := keyholder{host: h}
	all, err := s.db.Passkeys(r.Context(), host)
	for _, p := range all {
		var c webauthn.Credential
		if err := json.Unmarshal(p.Record, &c); err != nil {
			return k, err
		}
		k.keys = append(k.keys, c)
	}
	return k, err
}

// keep holds what the answer must fit, in the session of the browser that
// asked.
func (s *Server) keep(r *http.Request, d *webauthn.SessionData) error {
	b, err := json.Marshal(d)
	if err == nil {
		s.sessions.Put(r.Context(), sessionPasskey, b)
	}
	return err
}

// kept is what was held, once.
func (s *Server) kept(r *http.Request) (d webauthn.SessionData, err error) {
	b, _ := s.sessions.Pop(r.Context(), sessionPasskey).([]byte)
	if b == nil {
		return d, challenge.Refuse(challenge.Over, "", "This took too long. Load the page again and try once more.")
	}
	return d, json.Unmarshal(b, &d)
}

// beginPasskey asks for the password again, then says what the browser has to
// make a passkey for.
func (s *Server) beginPasskey(w http.ResponseWriter, r *http.Request) error {
	a, err := s.hostActor(r)
	if err != nil {
		return err
	}
	if err := errors.Join(s.slow(w, r, s.limits.signIn), parse(r)); err != nil {
		return err
	}
	if err := s.passwordOf(r, a.ID, r.PostFormValue("current")); err != nil {
		return err
	}
	rp, err := s.relyingParty(r)
	if err != nil {
		return err
	}
	k, err := s.keyholder(r, a.ID)
	if err != nil {
		return err
	}
	options, session, err := rp.BeginRegistration(k, webauthn.WithExclusions(webauthn.Credentials(k.keys).CredentialDescriptors()))
	if err != nil {
		return err
	}
	if err := s.keep(r, session); err != nil {
		return err
	}
	return writeJSON(w, options)
}

func (s *Server) addPasskey(w http.ResponseWriter, r *http.Request) error {
	a, err := s.hostActor(r)
	if err != nil {
		return err
	}
	rp, err := s.relyingParty(r)
	if err != nil {
		return err
	}
	session, err := s.kept(r)
	if err != nil {
		return err
	}
	k, err := s.keyholder(r, a.ID)
	if err != nil {
		return err
	}
	c, err := rp.FinishRegistration(k, session, r)
	if err != nil {
		return wrongPasskey(err)
	}
	record, err := json.Marshal(c)
	if err != nil {
		return err
	}
	err = s.db.AddPasskey(r.Context(), store.Passkey{Host: a.ID, Name: passkeyName(r.URL.Query().Get("name")), Credential: c.ID, Record: record})
	if err != nil {
		return err
	}
	return writeJSON(w, onward{"/host/account?said=saved"})
}

func (s *Server) removePasskey(w http.ResponseWriter, r *http.Request) error {
	a, err := s.hostActor(r)
	if err != nil {
		return err
	}
	n, err := strconv.ParseInt(chi.URLParam(r, "id"), 10, 64)
	if err != nil {
		return challenge.NotFound("There is no such passkey.")
	}
	if err := s.db.RemovePasskey(r.Context(), a.ID, n); err != nil {
		return err
	}
	return to(w, r, "/host/account?said=removed")
}

// beginPasskeySignIn asks any passkey of this site: the answer tells whose it
// is, so that nothing is said here of who exists.
func (s *Server) beginPasskeySignIn(w http.ResponseWriter, r *http.Request) error {
	if err := s.slow(w, r, s.limits.signIn); err != nil {
		return err
	}
	rp, err := s.relyingParty(r)
	if err != nil {
		return err
	}
	options, session, err := rp.BeginDiscoverableLogin(webauthn.WithUserVerification(protocol.VerificationRequired))
	if err != nil {
		return err
	}
	if err := s.keep(r, session); err != nil {
		return err
	}
	return writeJSON(w, options)
}

func (s *Server) signInByPasskey(w http.ResponseWriter, r *http.Request) error {
	rp, err := s.relyingParty(r)
	if err != nil {
		return err
	}
	session, err := s.kept(r)
	if err != nil {
		return err
	}
	var found keyholder
	find := func(_, handle []byte) (webauthn.User, error) {
		id, err := strconv.ParseInt(strings.TrimPrefix(string(handle), "host "), 10, 64)
		if err != nil {
			return nil, err
		}
		found, err = s.keyholder(r, id)
		return found, err
	}
	_, c, err := rp.FinishPasskeyLogin(find, session, r)
	if err != nil {
		return wrongPasskey(err)
	}
	if c.Authenticator.CloneWarning {
		return challenge.Refuse(challenge.Barred, "", "This passkey seems to have been copied. Sign in with your password and remove it.")
	}
	record, err := json.Marshal(c)
	if err != nil {
		return err
	}
	if err := s.db.UsedPasskey(r.Context(), c.ID, record); err != nil {
		return err
	}
	if err := s.signIn(w, r, found.host.ID); err != nil {
		return err
	}
	return writeJSON(w, onward{homeward(r.URL.Query().Get("to"))})
}

// wrongPasskey is the refusal of an answer that does not fit; what the library
// says is for nobody to read.
func wrongPasskey(err error) error {
	if _, ok := errors.AsType[*protocol.Error](err); ok {
		return challenge.Refuse(challenge.Barred, "", "This passkey is not known here. Sign in with your password.")
	}
	return err
}

// An onward tells a script where to go.
type onward struct {
	To string `json:"to"`
}

func writeJSON(w http.ResponseWriter, v any) error {
	w.Header().Set("Content-Type", "application/json")
	w.Header().Set("Cache-Control", "no-store")
	return json.NewEncoder(w).Encode(v)
}
