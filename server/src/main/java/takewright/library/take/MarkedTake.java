package takewright.library.take;

import java.io.IOException;
import java.nio.file.NoSuchFileException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Set;
import takewright.audio.AudioFile;
import takewright.audio.marker.Marker;
import takewright.audio.marker.Markers;
import takewright.diagnosis.FileProblemException;
import takewright.diagnosis.Place;
import takewright.diagnosis.Reason;
import takewright.segment.MarkedSpan;
import takewright.segment.Region;
import takewright.sheet.Sheet;
import takewright.sheet.Take;
import takewright.sheet.cell.CellName;
import takewright.sheet.decision.Correction;
import takewright.sheet.decision.FadeTimes;
import takewright.sheet.decision.Fix;
import takewright.sheet.decision.Verdict;

/** The regions of a take as a person marked them in its files, and what their labels say. */
final class MarkedTake {
  /**
   * One marker.
   *
   * @param start its frame in the take
   * @param end first frame after it; null for a point
   * @param label what its label says
   */
  private record Mark(long start, Long end, MarkerLabel label) {}

  private final Take take;
  private final List<Mark> marks;

  private MarkedTake(Take take, List<Mark> marks) {
    this.take = take;
    this.marks = marks;
  }

  /**
   * Reads the markers of the main microphone's files, which lie end to end.
   *
   * @throws takewright.audio.BadAudioException if a file is not a WAV file
   * @throws FileProblemException if there are no markers
   */
  static MarkedTake read(Sheet sheet, Take take) throws IOException {
    List<Mark> marks = new ArrayList<>();
    long offset = 0;
    for (Path file : take.main().files()) {
      try (AudioFile audio = AudioFile.openChecked(file)) {
        for (Marker marker : Markers.read(file)) {
          long start = offset + marker.frame();
          Long end = marker.length() == 0 ? null : (Long) (start + marker.length());
          marks.add(
              new Mark(
                  start, end, MarkerLabel.of(marker, sheet.naming().noteNames(), take.dynamics())));
        }
        offset += audio.frames();
      } catch (NoSuchFileException e) {
        throw new FileProblemException(
            Reason.NOT_THERE, file.toString(), "does not exist", "check the name in the sheet");
      }
    }
    if (marks.isEmpty()) {
      throw new FileProblemException(
          Reason.INPUT_INVALID,
          take.main().firstFile().toString(),
          "has no markers, by which the sheet says that it is cut",
          "make a copy with markers by `segment --markers`, or leave `cutting` out");
    }
    marks.sort(Comparator.comparingLong(Mark::start));
    return new MarkedTake(take, marks);
  }

  /**
   * What was marked in a part of the take, counted from the part's first frame.
   *
   * @param first first frame of the part
   * @param last first frame after it
   */
  List<MarkedSpan> spans(long first, long last) {
    List<MarkedSpan> spans = new ArrayList<>();
    for (Mark mark : marks) {
      if (mark.start >= first && mark.start < last) {
        Long end = mark.end == null ? null : (Long) (Math.min(mark.end, last) - first);
        spans.add(new MarkedSpan(mark.start - first, end));
      }
    }
    return spans;
  }

  /**
   * What the labels say of the regions that were measured. A region that a person marked is a
   * sample, whatever it sounds like, unless its label rejects it.
   *
   * @param regions of these marks
   * @param sampleRate of the take, in hertz
   */
  List<Fix> fixes(List<Region> regions, int sampleRate) {
    Map<Long, List<Mark>> byStart = new HashMap<>();
    marks.forEach(m -> byStart.computeIfAbsent(m.start, start -> new ArrayList<>()).add(m));
    Place place = Place.of(take.name());
    List<Fix> fixes = new ArrayList<>();
    for (Region region : regions) {
      List<Mark> here = byStart.get(region.start());
      if (here == null) {
        continue;
      }
      MarkerLabel label = here.size() > 1 ? here.remove(0).label : here.get(0).label;
      Verdict verdict = label.isRejected() ? Verdict.DROP : region.rejected() ? Verdict.KEEP : null;
      CellName cell = label.isRejected() ? CellName.ANY : label.cell();
      if (verdict != null || !cell.isAny()) {
        double atS = (double) own(region, regions) / sampleRate;
        fixes.add(new Fix(place, atS, cell, false, verdict(verdict)));
      }
    }
    return fixes;
  }

  private static Correction verdict(Verdict verdict) {
    return new Correction(null, null, verdict, null, null, null, null, FadeTimes.USUAL, Set.of());
  }

  /** A frame of a region that no other one holds, if there is any: marks may overlap. */
  private static long own(Region region, List<Region> regions) {
    long[] candidates = {region.onset(), region.start(), region.end() - 1};
    for (long frame : candidates) {
      boolean isOthers =
          regions.stream().anyMatch(r -> r != region && frame >= r.start() && frame < r.end());
      if (!isOthers) {
        return frame;
      }
    }
    return region.onset();
  }
}
