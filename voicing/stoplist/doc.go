// Package stoplist reads a stop list as leaflets, builders and parish pages print it, in English, German, French,
// Italian, Spanish, Dutch, Swedish, Danish, Norwegian or Finnish (and Polish, Czech, Estonian and Latvian names), and makes an organ description of it.
//
// [Read] takes the text apart line by line and says how each line was read; what it does not understand it lists and leaves
// out. [List.TOML] writes the description that [voicing.Parse] reads, with a comment wherever something was assumed. What a name
// on a knob means is data: names.txt.
package stoplist
