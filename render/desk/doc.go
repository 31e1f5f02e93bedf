// Package desk serves the writing desk: a page on the local machine on which a score is
// put into rooms, heard and rewritten.
//
// The handlers compute nothing themselves: findings come from [proof.Run], sound from
// [sound.Render], rewritings from the remedies that the program hands in. Projects are plain files, see
// [Store]. Every request is checked for its Host and Origin, and limited in
// size and number, so that many pupils can share one machine.
package desk
