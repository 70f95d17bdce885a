//! The thumb line: which move the thumb makes on each beat. Pure rules on chords and beats; never
//! chooses strings or fingers.
