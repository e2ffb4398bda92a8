// Package plans watches which statements a run of tests makes, and finds those
// that read a large table from end to end. It is for tests; start with [Watch].
package plans
