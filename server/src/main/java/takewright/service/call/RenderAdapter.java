package takewright.service.call;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import takewright.diagnosis.ProblemException;
import takewright.diagnosis.Reason;
import takewright.map.Player;
import takewright.render.Render;
import takewright.service.access.GrantedFolders;
import takewright.service.wire.Wire;
import takewright.v1.RanOutNote;
import takewright.v1.RenderRequest;
import takewright.v1.RenderResponse;
import takewright.v1.UnplayedNote;

/** Adapter of Render. */
public final class RenderAdapter {
  /** More would not fit into one message, and nobody would read them. */
  private static final int MAX_UNPLAYED = 1000;

  private RenderAdapter() {}

  public static RenderResponse run(RenderRequest request, GrantedFolders granted)
      throws IOException {
    Path folder = granted.folderToWrite("folder", request.getFolder());
    if (!Files.exists(folder)) {
      throw new ProblemException(
          Reason.NOT_THERE, "folder", "does not exist: " + request.getFolder(), "correct the path");
    }
    Path out = granted.wavToWrite("output_file", request.getOutputFile(), request.getReplace());
    if (out.startsWith(folder) && Files.exists(out)) {
      throw ProblemException.invalid(
          "output_file",
          "is a file of the library, which must stay as it is",
          "choose another name");
    }
    Path midi =
        request.hasMidiFile() ? granted.fileToRead("midi_file", request.getMidiFile()) : null;
    Render.RenderSummary report =
        Render.run(
            new Render.Request(
                folder,
                midi,
                request.hasNotes() ? request.getNotes() : null,
                request.getArticulation(),
                request.getLayer()),
            out);
    RenderResponse.Builder wire =
        RenderResponse.newBuilder()
            .setArticulation(report.articulation())
            .setLayer(report.layer())
            .setNotes(report.notes())
            .setNotPlayed(report.unplayed().size())
            .setDurationS(report.seconds())
            .setPeakDbfs(Wire.level(report.peakDbfs()))
            .setGainDb(report.gainDb());
    for (Player.NoteEvent note : report.unplayed()) {
      if (wire.getUnplayedList().size() == MAX_UNPLAYED) {
        break;
      }
      wire.addUnplayed(
          UnplayedNote.newBuilder()
              .setStartS(note.startS())
              .setMidi(note.key())
              .setNote(report.names().spell(note.key()))
              .setVelocity(note.velocity()));
    }
    wire.setNotesRanOut(report.ranOut().size());
    for (Player.RanOut ranOut : report.ranOut()) {
      if (wire.getRanOutList().size() == MAX_UNPLAYED) {
        break;
      }
      Player.NoteEvent note = ranOut.note();
      wire.addRanOut(
          RanOutNote.newBuilder()
              .setStartS(note.startS())
              .setMidi(note.key())
              .setNote(report.names().spell(note.key()))
              .setLengthS(note.lengthS())
              .setSoundedS(ranOut.soundedS()));
    }
    return wire.build();
  }
}
