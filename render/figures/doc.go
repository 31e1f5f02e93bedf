// Package figures draws the still pictures: of a sweep over rooms and tempi, and of the models
// themselves (speech, rooms, hearing).
//
// Each picture is a function from data to a [Figure]; [Figure.SVG] and [Figure.PNG]
// give its bytes. All figures share one look (see [NewPlot] and [Ink]): light ground, thin
// axes, a colour-blind safe palette in which no meaning hangs on colour alone: lines
// also differ in dash, marks in shape. The pictures of a
// piece in time are not here; the report page draws those itself.
package figures
