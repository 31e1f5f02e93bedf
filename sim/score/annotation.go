package score

import "regexp"

var annotation = regexp.MustCompile(`^(■ )?(fail|warning|note) [0-9]+, [a-z ]+: `)

// IsAnnotation tells words that name a finding ("■ fail 3, covered entry: …"), as they stand in
// an annotated score, from what its composer wrote.
func IsAnnotation(text string) bool { return annotation.MatchString(text) }
