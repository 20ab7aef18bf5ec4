"""What the terminal itself has to say, besides what the assistant says."""

HINT = "Press a button by its number, like /1, or by its name, like /undo. /quit leaves."
NO_SUCH_BUTTON = "There is no button {number} under the last message that has buttons."
LINK_ONLY = "That button is a link: {url}"
FILE_KEPT = "The file is here: {path}"
FILE_NOT_KEPT = "The file {name} could not be written here: {why}."
