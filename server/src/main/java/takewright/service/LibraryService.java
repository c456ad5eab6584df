package takewright.service;

import io.grpc.stub.StreamObserver;
import java.nio.file.Path;
import takewright.service.build.BuildCalls;
import takewright.service.call.AuditAdapter;
import takewright.service.call.RenderAdapter;
import takewright.service.call.Site;
import takewright.service.call.UnaryCall;
import takewright.service.work.Priority;
import takewright.sheet.check.Check;
import takewright.sheet.check.CheckReport;
import takewright.v1.AuditRequest;
import takewright.v1.AuditResponse;
import takewright.v1.CancelBuildRequest;
import takewright.v1.CancelBuildResponse;
import takewright.v1.CheckSheetRequest;
import takewright.v1.CheckSheetResponse;
import takewright.v1.GetBuildRequest;
import takewright.v1.GetBuildResponse;
import takewright.v1.LibraryServiceGrpc;
import takewright.v1.ListBuildsRequest;
import takewright.v1.ListBuildsResponse;
import takewright.v1.OpenBuildPageRequest;
import takewright.v1.OpenBuildPageResponse;
import takewright.v1.RenameSamplesRequest;
import takewright.v1.RenameSamplesResponse;
import takewright.v1.RenderRequest;
import takewright.v1.RenderResponse;
import takewright.v1.ResumeBuildRequest;
import takewright.v1.ResumeBuildResponse;
import takewright.v1.Severity;
import takewright.v1.SheetProblem;
import takewright.v1.StartBuildRequest;
import takewright.v1.StartBuildResponse;
import takewright.v1.WatchBuildRequest;
import takewright.v1.WatchBuildResponse;

/** Checks, builds and audits libraries. */
final class LibraryService extends LibraryServiceGrpc.LibraryServiceImplBase {
  /** Errors, and warnings, that an answer holds; a message has a largest size. */
  private static final int MAX_PROBLEMS = 1000;

  private final Site site;
  private final BuildCalls builds;

  LibraryService(Site site, BuildCalls builds) {
    this.site = site;
    this.builds = builds;
  }

  @Override
  public void checkSheet(CheckSheetRequest request, StreamObserver<CheckSheetResponse> answers) {
    UnaryCall.work(
        site.workers(),
        Priority.SHORT,
        answers,
        () -> {
          Path sheet = site.folders().fileToRead("sheet_file", request.getSheetFile());
          return wire(Check.apply(sheet, site.folders()::ofSheet));
        });
  }

  @Override
  public void startBuild(StartBuildRequest request, StreamObserver<StartBuildResponse> answers) {
    builds.start(request, answers);
  }

  @Override
  public void getBuild(GetBuildRequest request, StreamObserver<GetBuildResponse> answers) {
    builds.get(request, answers);
  }

  @Override
  public void resumeBuild(ResumeBuildRequest request, StreamObserver<ResumeBuildResponse> answers) {
    builds.resume(request, answers);
  }

  @Override
  public void listBuilds(ListBuildsRequest request, StreamObserver<ListBuildsResponse> answers) {
    builds.list(request, answers);
  }

  @Override
  public void watchBuild(WatchBuildRequest request, StreamObserver<WatchBuildResponse> answers) {
    builds.watch(request, answers);
  }

  @Override
  public void openBuildPage(
      OpenBuildPageRequest request, StreamObserver<OpenBuildPageResponse> answers) {
    builds.openPage(request, answers);
  }

  @Override
  public void cancelBuild(CancelBuildRequest request, StreamObserver<CancelBuildResponse> answers) {
    builds.cancel(request, answers);
  }

  @Override
  public void audit(AuditRequest request, StreamObserver<AuditResponse> answers) {
    UnaryCall.several(
        site.workers(), Priority.BATCH, answers, open -> AuditAdapter.run(request, site, open));
  }

  @Override
  public void renameSamples(
      RenameSamplesRequest request, StreamObserver<RenameSamplesResponse> answers) {
    UnaryCall.work(
        site.workers(),
        Priority.BATCH,
        answers,
        () -> AuditAdapter.rename(request, site.folders()));
  }

  private static CheckSheetResponse wire(CheckReport report) {
    CheckSheetResponse.Builder answer =
        CheckSheetResponse.newBuilder()
            .setCells(report.cells())
            .setTakes(report.takes())
            .setDurationS(report.durationS());
    int errors = 0;
    int warnings = 0;
    for (takewright.sheet.SheetProblem problem : report.problems()) {
      boolean isError = problem.severity() == takewright.sheet.SheetProblem.Severity.ERROR;
      int count = isError ? ++errors : ++warnings;
      if (count <= MAX_PROBLEMS) {
        answer.addProblems(
            SheetProblem.newBuilder()
                .setSeverity(isError ? Severity.SEVERITY_ERROR : Severity.SEVERITY_WARNING)
                .setLine(problem.line())
                .setMessage(problem.message()));
      }
    }
    return answer.setErrors(errors).setWarnings(warnings).build();
  }

  @Override
  public void render(RenderRequest request, StreamObserver<RenderResponse> answers) {
    UnaryCall.work(
        site.workers(), Priority.BATCH, answers, () -> RenderAdapter.run(request, site.folders()));
  }
}
