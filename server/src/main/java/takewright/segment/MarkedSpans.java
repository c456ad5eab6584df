package takewright.segment;

import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;

/** Spans that do not overlap, passed one by one while a take is read. */
final class MarkedSpans {
  private final List<MarkedSpan> spans;
  private int at;

  private MarkedSpans(List<MarkedSpan> spans) {
    this.spans = spans;
  }

  /**
   * Divides spans into as few rows as there are where most of them overlap: notes that ring into
   * each other may be marked with their whole tails.
   */
  static List<MarkedSpans> rows(List<MarkedSpan> spans) {
    List<MarkedSpan> sorted = new ArrayList<>(spans);
    sorted.sort(Comparator.comparingLong(MarkedSpan::start));
    List<List<MarkedSpan>> rows = new ArrayList<>();
    for (MarkedSpan span : sorted) {
      List<MarkedSpan> row = null;
      for (List<MarkedSpan> candidate : rows) {
        if (row == null && mayFollow(candidate.get(candidate.size() - 1), span)) {
          row = candidate;
        }
      }
      if (row == null) {
        row = new ArrayList<>();
        rows.add(row);
      }
      row.add(span);
    }
    return rows.stream().map(MarkedSpans::new).toList();
  }

  private static boolean mayFollow(MarkedSpan last, MarkedSpan next) {
    return next.start() >= (last.end() == null ? last.start() + 1 : last.end());
  }

  /** The span that is being passed or comes next; null after the last. */
  MarkedSpan current() {
    return at < spans.size() ? spans.get(at) : null;
  }

  /** Frame that the current span cannot pass: its end or, of one without, the next one's start. */
  long limit() {
    Long end = current().end();
    if (end != null) {
      return end;
    }
    return at + 1 < spans.size() ? spans.get(at + 1).start() : Long.MAX_VALUE;
  }

  void next() {
    at++;
  }
}
