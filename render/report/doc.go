// Package report writes what a proof found for people and for programs: a
// self-contained HTML page that plays the sound beside a timeline ([WriteHTML]), the JSON
// document ([WriteJSON]), and a lesson sheet that sets a passage before and after a
// rewriting side by side for print ([WriteSheet]).
//
// It computes nothing about music or rooms: all figures come from the [proof.Document].
package report
