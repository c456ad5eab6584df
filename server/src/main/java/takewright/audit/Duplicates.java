package takewright.audit;

import java.io.IOException;
import java.nio.file.Files;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.HashSet;
import java.util.List;
import java.util.Locale;
import java.util.Set;
import java.util.function.BooleanSupplier;
import takewright.analyse.CrossCorrelation;
import takewright.audio.Clip;
import takewright.audit.Finding.What;
import takewright.diagnosis.Flag;

/**
 * Finds files of the same recording: identical ones, and ones shifted, scaled or inverted. Only
 * pairs that agree in measures independent of shift and gain are compared sample by sample.
 */
final class Duplicates {
  /** Two measurements of the same recording agree within this, in cents. */
  private static final double CENTS = 3;

  /** Likewise the ratio of their spectral centroids. */
  private static final double CENTROID = 1.03;

  /** Likewise the distance of peak and loudness, in dB. */
  private static final double CREST_DB = 0.6;

  private final List<AuditedFile> files;
  private final List<Finding> found;
  private final BooleanSupplier cancelled;

  Duplicates(List<AuditedFile> files, List<Finding> found, BooleanSupplier cancelled) {
    this.files = files;
    this.found = found;
    this.cancelled = cancelled;
  }

  void look() throws IOException {
    List<AuditedFile> sounding = new ArrayList<>();
    for (AuditedFile file : files) {
      if (file.facts() != null && !file.flagged(Flag.SILENT)) {
        sounding.add(file);
      }
    }
    // Sorted by pitch, so that only neighbours are compared; files without a pitch come last.
    sounding.sort(Comparator.comparingDouble(AuditedFile::semitones));
    Set<AuditedFile> copies = new HashSet<>();
    for (int i = 0; i < sounding.size(); i++) {
      AuditedFile a = sounding.get(i);
      Clip first = null;
      for (int k = i + 1; k < sounding.size(); k++) {
        AuditedFile b = sounding.get(k);
        if (a.pitch() != null && !(100 * (b.semitones() - a.semitones()) <= CENTS)) {
          break;
        }
        if (copies.contains(a) || copies.contains(b) || !near(a, b)) {
          continue;
        }
        Audit.stopIf(cancelled);
        if (Files.size(a.path()) == Files.size(b.path())
            && Files.mismatch(a.path(), b.path()) < 0) {
          report(a, b, "the files are identical", copies);
          continue;
        }
        first = first == null ? Audit.read(a.path()) : first;
        CrossCorrelation likeness = CrossCorrelation.of(first, Audit.read(b.path()));
        if (likeness.copy()) {
          report(a, b, difference(a, likeness), copies);
        }
      }
    }
  }

  private static boolean near(AuditedFile a, AuditedFile b) {
    double ratio = a.facts().timbre().centroidHz() / b.facts().timbre().centroidHz();
    double crest =
        (a.facts().peakDbtp() - a.facts().levelLufs())
            - (b.facts().peakDbtp() - b.facts().levelLufs());
    return ratio < CENTROID && ratio > 1 / CENTROID && !(Math.abs(crest) > CREST_DB);
  }

  private static String difference(AuditedFile a, CrossCorrelation likeness) {
    double ms = 1000.0 * Math.abs(likeness.shiftFrames()) / a.heard().sampleRate();
    return String.format(
        Locale.ROOT,
        "the sound is the same, shifted by %.1f ms and scaled by %.1f dB",
        ms,
        Math.abs(likeness.gainDb()));
  }

  /** Which of the two is the copy: the wrongly named one, or else the later one. */
  private void report(AuditedFile a, AuditedFile b, String how, Set<AuditedFile> copies) {
    AuditedFile copy = a;
    if (a.isWrongNote() == b.isWrongNote()) {
      Comparator<String> later =
          Comparator.<String>comparingInt(String::length).thenComparing(s -> s);
      copy = later.compare(a.file(), b.file()) > 0 ? a : b;
    } else if (b.isWrongNote()) {
      copy = b;
    }
    AuditedFile original = copy == a ? b : a;
    copies.add(copy);
    found.add(
        new Finding(
            copy.file(),
            What.DUPLICATE,
            "",
            original.file(),
            "is " + original.file() + " again: " + how,
            copy.pitch()));
  }
}
