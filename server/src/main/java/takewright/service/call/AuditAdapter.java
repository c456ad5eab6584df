package takewright.service.call;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.LinkOption;
import java.nio.file.Path;
import takewright.analyse.AnalyseSettings;
import takewright.audit.Audit;
import takewright.audit.AuditReport;
import takewright.audit.Finding;
import takewright.audit.RenamePlan;
import takewright.audit.Renaming;
import takewright.diagnosis.FileProblems;
import takewright.diagnosis.ProblemException;
import takewright.diagnosis.Reason;
import takewright.service.access.GrantedFolders;
import takewright.service.wire.Failures;
import takewright.service.wire.Wire;
import takewright.v1.AuditFinding;
import takewright.v1.AuditFindingKind;
import takewright.v1.AuditRequest;
import takewright.v1.AuditResponse;
import takewright.v1.AuditSummary;
import takewright.v1.RenameSamplesRequest;
import takewright.v1.RenameSamplesResponse;
import takewright.v1.SampleLeftOut;
import takewright.v1.SampleRename;

/** Adapter of Audit and RenameSamples. */
public final class AuditAdapter {
  private AuditAdapter() {}

  public static void run(AuditRequest request, Site site, Answers<AuditResponse> answers)
      throws IOException {
    GrantedFolders granted = site.folders();
    Path folder = folder(granted, request.getFolder());
    Path plan = null;
    if (!request.getRenamePlanFile().isEmpty()) {
      plan = granted.fileToWrite("rename_plan_file", request.getRenamePlanFile(), true);
      outside("rename_plan_file", plan, folder);
    }
    double tuningHz = request.hasTuningHz() ? request.getTuningHz() : 440;
    try {
      new AnalyseSettings(false, tuningHz);
    } catch (IllegalArgumentException e) {
      throw Failures.setting(e);
    }
    AuditReport report =
        Audit.run(
            folder,
            tuningHz,
            finding -> answers.send(AuditResponse.newBuilder().setFinding(wire(finding)).build()),
            () -> {
              site.workers().scheduler().stepAside();
              return answers.cancelled();
            });
    if (plan != null) {
      RenamePlan.write(plan, report.renames());
    }
    for (RenamePlan.Rename rename : report.renames()) {
      answers.send(
          AuditResponse.newBuilder()
              .setRename(SampleRename.newBuilder().setFrom(rename.from()).setTo(rename.to()))
              .build());
    }
    for (String left : report.left()) {
      answers.send(
          AuditResponse.newBuilder()
              .setLeftOut(SampleLeftOut.newBuilder().setReason(left))
              .build());
    }
    answers.send(AuditResponse.newBuilder().setSummary(wire(report)).build());
  }

  public static RenameSamplesResponse rename(RenameSamplesRequest request, GrantedFolders granted)
      throws IOException {
    Path folder = folder(granted, request.getFolder());
    Path plan = granted.fileToRead("plan_file", request.getPlanFile());
    Path undo = granted.fileToWrite("undo_file", request.getUndoFile(), true);
    outside("undo_file", undo, folder);
    if (undo.equals(plan)) {
      throw ProblemException.invalid("undo_file", "is the plan itself", "choose another name");
    }
    Renaming renaming =
        new Renaming(folder, FileProblems.read("plan_file", () -> RenamePlan.read(plan)));
    if (Files.exists(undo) && !renaming.isInterrupted()) {
      throw new ProblemException(
          Reason.ALREADY_THERE,
          "undo_file",
          "exists already: " + undo,
          "keep it, and choose another name");
    }
    int renamed = FileProblems.read("plan_file", () -> renaming.carryOut(undo));
    return RenameSamplesResponse.newBuilder().setRenamed(renamed).build();
  }

  private static Path folder(GrantedFolders granted, String path) throws IOException {
    Path folder = granted.folderToWrite("folder", path);
    if (!Files.exists(folder, LinkOption.NOFOLLOW_LINKS)) {
      throw new ProblemException(
          Reason.NOT_THERE, "folder", "does not exist: " + path, "correct the path");
    }
    return folder;
  }

  private static void outside(String field, Path file, Path folder) {
    if (file.startsWith(folder)) {
      throw ProblemException.invalid(
          field, "lies in the folder itself, in which nothing is written", "choose another folder");
    }
  }

  private static AuditFinding wire(Finding finding) {
    AuditFinding.Builder wire =
        AuditFinding.newBuilder()
            .setFile(finding.file())
            .setKind(AuditFindingKind.valueOf("AUDIT_FINDING_KIND_" + finding.finding().name()))
            .setSays(finding.says())
            .setSounds(finding.sounds())
            .setDetail(finding.detail());
    if (finding.pitch() != null) {
      wire.setPitch(Wire.pitch(finding.pitch()));
    }
    return wire.build();
  }

  private static AuditSummary wire(AuditReport report) {
    return AuditSummary.newBuilder()
        .setFiles(report.files())
        .setFindings(report.findings())
        .setMiddleC(report.middleC())
        .setAgreeing(report.agreeing())
        .setNamed(report.named())
        .setRenames(report.renames().size())
        .setLeftOut(report.left().size())
        .build();
  }
}
