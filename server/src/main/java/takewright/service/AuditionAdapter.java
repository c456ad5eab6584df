package takewright.service;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import takewright.diagnosis.ProblemException;
import takewright.diagnosis.Reason;
import takewright.library.Audition;
import takewright.map.Player;
import takewright.name.NoteNames;
import takewright.v1.AuditionRequest;
import takewright.v1.AuditionResponse;
import takewright.v1.UnplayedNote;

/** Auditions over the wire. */
final class AuditionAdapter {
  /** More would not fit into one message, and nobody would read it. */
  private static final int MOST_UNPLAYED = 1000;

  private AuditionAdapter() {}

  static AuditionResponse run(AuditionRequest request, GrantedFolders granted) throws IOException {
    Path folder = granted.folderToWrite("folder", request.getFolder());
    if (!Files.exists(folder)) {
      throw new ProblemException(Reason.NOT_THERE, "folder", "does not exist: " + request.getFolder(), "correct the path");
    }
    Path out = granted.fileToWrite("output_file", request.getOutputFile(), request.getReplace());
    if (out.startsWith(folder) && Files.exists(out)) {
      throw ProblemException.invalid("output_file", "is a file of the library, which must stay as it is", "choose another name");
    }
    Path midi =
        request.hasMidiFile() ? granted.fileToRead("midi_file", request.getMidiFile()) : null;
    Audition.Report report =
        Audition.run(
            new Audition.Request(
                folder,
                midi,
                request.hasNotes() ? request.getNotes() : null,
                request.getArticulation(),
                request.getLayer()),
            out);
    AuditionResponse.Builder wire =
        AuditionResponse.newBuilder()
            .setArticulation(report.articulation())
            .setLayer(report.layer())
            .setNotes(report.notes())
            .setNotPlayed(report.unplayed().size())
            .setDurationS(report.seconds())
            .setPeakDbfs(Wire.level(report.peakDbfs()))
            .setGainDb(report.gainDb());
    for (Player.Note note : report.unplayed()) {
      if (wire.getUnplayedList().size() == MOST_UNPLAYED) {
        break;
      }
      wire.addUnplayed(
          UnplayedNote.newBuilder()
              .setStartS(note.startS())
              .setMidi(note.key())
              .setNote(NoteNames.DEFAULTS.spell(note.key()))
              .setVelocity(note.velocity()));
    }
    return wire.build();
  }
}
